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

/// A simulated stage with hands on its fader and equaliser and one pair of ears: the detector at
/// the microphone. Nothing of the loop's own truth comes out of it. Starts with the equaliser flat
/// and the fader at 0 dB. Throws base::Error on a stage that cannot be.
class ListenedStage {
 public:
  explicit ListenedStage(const loop::Scene& scene);

  void set_fader_db(double fader_db) noexcept;
  /// False, and nothing changes, with more sections than the stage has.
  bool set_equaliser(const cuts::Setting& setting);

  /// One hop of sound.
  void step();
  void listen(double seconds);

  /// Listens with a detector that has heard nothing: what rang before is forgotten. Its rings count
  /// from `settle_s` later, when its windows are full.
  void listen_afresh(double settle_s);

  [[nodiscard]] double fader_db() const noexcept { return fader_db_; }

  [[nodiscard]] double now_s() const noexcept;

  [[nodiscard]] double step_s() const noexcept;

  [[nodiscard]] double sample_rate_hz() const noexcept { return config_.sample_rate_hz; }

  [[nodiscard]] const RisingRings& heard() const noexcept { return heard_; }

  /// The loudest tone of all, ring or not; level kSilenceDb when there is none.
  [[nodiscard]] const detector::TrackView& loudest() const noexcept { return loudest_; }

  /// For how long the loudest tone has been the same one, at one level within 2 dB.
  [[nodiscard]] double steady_s() const noexcept { return now_s() - steady_since_s_; }

  /// The stage as it is listened to, for whoever judges from outside.
  [[nodiscard]] const loop::StageConfig& config() const noexcept { return config_; }

 private:
  void look_for_loudest();

  loop::StageConfig config_;
  loop::Programme programme_;
  loop::Stage stage_;
  detector::Detector detector_;
  RisingRings heard_;
  detector::TrackView loudest_;
  double steady_dbfs_ = 0.0;  // its level since then
  double steady_since_s_ = 0.0;
  std::vector<float> hop_;
  std::vector<float> tap_;
  double fader_db_ = 0.0;
};

}  // namespace brink::robot
