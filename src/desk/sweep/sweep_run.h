#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "desk/sweep/sweep_way.h"
#include "detector/detector.h"
#include "loop/sweep/measured_loop.h"

namespace brink::desk {

/// A sweep as it was recorded, from about the moment at which it was begun.
struct SweepTake {
  loop::SweepSignal signal;
  double level_dbfs = 0.0;
  std::vector<float> heard;
  std::vector<float> reference;     ///< empty without one
  std::optional<double> latency_s;  ///< where it is known without a reference
};

/// The loop of a take. Throws base::Error when it holds no sweep.
[[nodiscard]] loop::MeasuredLoop measure(const SweepTake& take);

/// Plays a sweep and records it; whoever holds the key calls step() again and again. While it waits
/// and while it plays it listens for a ring: then the microphone reaches the loudspeaker. [one
/// thread, but for stop()]
class SweepRun {
 public:
  /// `way` outlives the run.
  explicit SweepRun(SweepWay& way);

  enum class Phase {
    kStarting,  ///< the output is being opened, or samples were lost a moment ago
    kReady,     ///< silent; begin() may come
    kPlaying,   ///< something is to be heard
    kDecaying,  ///< all is played; the recording goes on for the devices' delay
    kDone,      ///< take() has it
  };

  /// Takes what has come. Waits at most some 20 ms. Throws base::Error, with the sweep stopped,
  /// when something rings, samples are lost or a device is gone; its sentence says which.
  Phase step();

  /// Plays from the beginning. What was recorded before is dropped. Not while it plays.
  void begin(double level_dbfs);
  /// What was recorded so far is dropped.
  void stop() noexcept;

  [[nodiscard]] Phase phase() const noexcept { return phase_; }

  /// How much of the sweep is over, 0 to 1.
  [[nodiscard]] double progress() const noexcept;

  /// Once, when it is done.
  [[nodiscard]] SweepTake take();

 private:
  class RingAlarm final : public detector::EventSink {
   public:
    void on_event(const detector::RingEvent& event) noexcept override {
      if (event.ring.state == detector::RingState::kRinging) {
        frequency_hz = event.ring.frequency_hz;
      }
    }

    double frequency_hz = 0.0;
  };

  /// Throws when the sweep cannot go on.
  void hear();
  [[nodiscard]] std::size_t samples_in(double length_s) const noexcept;
  /// A loss that is told from now on is of now.
  [[nodiscard]] bool is_calm() const noexcept;

  SweepWay& way_;
  detector::Detector detector_;
  RingAlarm alarm_;
  Phase phase_ = Phase::kStarting;
  SweepTake take_;
  std::size_t calm_samples_ = 0;      // heard since the last loss
  std::size_t restless_samples_ = 0;  // heard since it was last calm
  std::size_t end_ = 0;               // of the recording, once all is played
};

}  // namespace brink::desk
