#pragma once

#include <optional>
#include <span>

#include "loop/sweep/sweep.h"

namespace brink::desk {

/// Level of a sweep that nobody asked to be louder, dBFS of its peak.
inline constexpr double kFirstSweepDbfs = -40.0;
/// No sweep is louder, unless somebody moves this ceiling (io::kPlayCeilingDbfs at most).
inline constexpr double kSweepCeilingDbfs = -20.0;

/// What a sweep is played on and heard with: devices, or a simulated stage. Nothing sounds until
/// play(). [one thread, but for stop()]
class SweepWay {
 public:
  virtual ~SweepWay() = default;
  SweepWay(const SweepWay&) = delete;
  SweepWay& operator=(const SweepWay&) = delete;
  SweepWay(SweepWay&&) = delete;
  SweepWay& operator=(SweepWay&&) = delete;

  /// What is played, at the rate of what is heard.
  [[nodiscard]] virtual const loop::SweepSignal& signal() const noexcept = 0;

  enum class State { kStarting, kSilent, kPlaying };

  /// Throws base::Error with one sentence when nothing can be played.
  [[nodiscard]] virtual State state() = 0;

  /// Plays the signal from its beginning, its peak at `level_dbfs` (-100 to 0, and never over
  /// io::kPlayCeilingDbfs).
  virtual void play(double level_dbfs) = 0;
  /// Silent within io::kPlayRampDownS, counted from the next block that the device takes. [any]
  virtual void stop() noexcept = 0;

  /// Samples of one read; they are good until the next.
  struct Heard {
    std::span<const float> microphone;
    std::span<const float> reference;  ///< what was sent, recorded beside it; empty without one
    bool has_lost_samples = false;
  };

  /// What has come; waits at most io::Source::kLongestWaitMs. Throws base::Error when the input is
  /// gone.
  [[nodiscard]] virtual Heard read() = 0;

  /// From playing to hearing, where it is known without a reference.
  [[nodiscard]] virtual std::optional<double> latency_s() const noexcept = 0;

 protected:
  SweepWay() = default;
};

}  // namespace brink::desk
