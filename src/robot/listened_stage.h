#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "cuts/setting.h"
#include "detector/detector.h"
#include "loop/programme.h"
#include "loop/scene.h"
#include "loop/stage.h"
#include "robot/rising_rings.h"

namespace brink::robot {

/// A simulated stage with a fader, an equaliser and a detector at the microphone. It gives nothing
/// of the truth about the loop. It starts with a flat equaliser and the fader at 0 dB. Throws
/// base::Error when the stage is not possible.
class ListenedStage {
 public:
  explicit ListenedStage(const loop::Scene& scene);

  /// Moves the fader, in dB on top of the loop gain.
  void set_fader_db(double fader_db) noexcept;
  /// With more sections than the stage has, it returns false and changes nothing.
  bool set_equaliser(const cuts::Setting& setting);

  /// Plays and hears one hop of sound.
  void step();
  /// Plays and hears so many seconds.
  void listen(double seconds);

  /// Starts with a new detector, so earlier rings are forgotten. Rings count after `settle_s`, when
  /// the detector's windows are full.
  void listen_afresh(double settle_s);

  [[nodiscard]] double fader_db() const noexcept { return fader_db_; }

  [[nodiscard]] double now_s() const noexcept;

  [[nodiscard]] double step_s() const noexcept;

  [[nodiscard]] double sample_rate_hz() const noexcept { return config_.sample_rate_hz; }

  [[nodiscard]] const RisingRings& heard() const noexcept { return heard_; }

  /// The loudest tone, ring or not. Its level is kSilenceDb when there is none.
  [[nodiscard]] const detector::TrackView& loudest() const noexcept { return loudest_; }

  /// For how long the loudest tone has been the same, with its level within 2 dB.
  [[nodiscard]] double steady_s() const noexcept { return now_s() - steady_since_s_; }

  /// The stage, so that others can judge the result.
  [[nodiscard]] const loop::StageConfig& config() const noexcept { return config_; }

 private:
  void look_for_loudest();

  loop::StageConfig config_;
  loop::Programme programme_;
  loop::Stage stage_;
  detector::Detector detector_;
  RisingRings heard_;
  detector::TrackView loudest_;
  double steady_dbfs_ = 0.0;  // level at steady_since_s_
  double steady_since_s_ = 0.0;
  std::vector<float> hop_;
  std::vector<float> tap_;
  double fader_db_ = 0.0;
};

}  // namespace brink::robot
