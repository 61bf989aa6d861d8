#pragma once

#include <array>
#include <atomic>
#include <chrono>
#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/triple_buffer.h"
#include "cuts/setting.h"
#include "io/source.h"
#include "loop/scene.h"

namespace brink::desk {

/// The hands on one output of a simulated stage that runs: fader and equaliser. One face thread
/// writes, the stage's own thread reads; neither waits.
class StageControls {
 public:
  static constexpr double kLowestFaderDb = -30.0;
  static constexpr double kHighestFaderDb = 12.0;

  /// Kept within the range. Starts at the lowest.
  void set_fader_db(double fader_db) noexcept;

  [[nodiscard]] double fader_db() const noexcept { return fader_db_.load(); }

  /// Puts this into the loop; false, and nothing changes, with more sections than the stage has.
  bool set_equaliser(const cuts::Setting& setting, double sample_rate_hz);

 private:
  friend class StageSource;

  struct Sections {
    std::array<base::Biquad, loop::Equaliser::kMostSections> all{};
    std::size_t count = 0;
  };

  std::atomic<double> fader_db_{kLowestFaderDb};
  base::TripleBuffer<Sections> sections_{Sections{}};
  std::atomic<bool> has_new_sections_{false};
};

/// One output of the stage that a face starts on: a small hall, a wedge and a soft voice. Each
/// output, counted from 0, is a wedge of its own at a place of its own: another loop. At a fader of
/// 0 dB that loop stands on its brink while its equaliser is flat and no other output is open.
[[nodiscard]] loop::Scene practice_scene(std::uint64_t seed, std::size_t output = 0);

/// An output that is open on a stage, and the hands on it.
struct OpenOutput {
  std::shared_ptr<const loop::Scene> scene;
  std::shared_ptr<StageControls> controls;
};

/// A simulated stage as a source, in real time: what its tap hears, for ever. Nothing sounds. When
/// the machine falls behind by more than a quarter of a second, the stage waits with it. [analysis]
class StageSource final : public io::Source {
 public:
  /// The fader comes on top of the scene's own gain. Throws base::Error on a stage that cannot be.
  StageSource(const loop::Scene& scene, std::shared_ptr<StageControls> controls);
  /// Several outputs, at least one, around one microphone; the first one's programme. All others
  /// are silent.
  explicit StageSource(const std::vector<OpenOutput>& outputs);

  [[nodiscard]] const std::string& name() const noexcept override { return name_; }

  [[nodiscard]] double sample_rate_hz() const noexcept override { return sample_rate_hz_; }

  [[nodiscard]] const std::vector<int>& taps() const noexcept override { return taps_; }

  [[nodiscard]] bool is_live() const noexcept override { return true; }

  [[nodiscard]] io::SourceReading read(std::span<float> samples) override;

 private:
  using Clock = std::chrono::steady_clock;

  /// Whether the moment at which `sample_count` more samples have sounded has come; waits for it a
  /// little.
  [[nodiscard]] bool wait_for(std::size_t sample_count);

  void follow_hands();

  std::string name_ = "simulated stage";
  std::vector<int> taps_{1};
  double sample_rate_hz_;
  std::vector<std::shared_ptr<StageControls>> controls_;
  std::vector<loop::Stage> stages_;
  std::vector<double> faders_db_;
  loop::Programme programme_;
  std::vector<float> dry_;
  std::optional<Clock::time_point> due_;  // when all samples so far have sounded; from the first on
};

}  // namespace brink::desk
