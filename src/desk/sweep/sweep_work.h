#pragma once

#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/at_release.h"
#include "base/background.h"
#include "desk/desk.h"
#include "desk/sweep/held_sweep.h"
#include "report/sweep_report.h"

namespace brink::desk {

/// What a person says of a sweep before it is played.
struct SweepSettings {
  std::string output;                       ///< device to play on; empty: the system's own choice
  int output_channel = 0;                   ///< 1 to 64; 0: the first two alike
  int reference_channel = 0;                ///< 1 to 64; 0: none
  double ceiling_dbfs = kSweepCeilingDbfs;  ///< -100 to io::kPlayCeilingDbfs
  double length_s = 8.0;                    ///< of each of the two sweeps, 1 to 60
  double decay_s = 3.0;                     ///< 0.2 to 20
  cuts::Sound sound = cuts::Sound::kBalanced;  ///< what the plan's cuts may do to music
  report::SweepKnowledge known;                ///< on the simulated stage it is the stage's own
};

/// A sweep at a window, without the window: what must be said first, the level, the key that is
/// held, and what was measured. It sweeps what the desk listens to: the output at hand of the
/// simulated stage, or a device. [one face thread]
class SweepWork {
 public:
  static constexpr double kLevelStepDb = 2.0;
  static constexpr double kLowestDbfs = -80.0;

  /// `on_news` is called on other threads when follow() has something to take.
  explicit SweepWork(std::function<void()> on_news);

  /// Once a pass, after Desk::update(). `tap`: the channel number of the microphone. When something
  /// else is listened to, all that was said and measured of the loop before is forgotten.
  void follow(Desk& desk, int tap);

  /// The user's word that the microphone's way to the loudspeaker is shut. Nothing plays without.
  void say_shut(bool is_shut);

  [[nodiscard]] bool is_shut() const noexcept { return is_shut_; }

  /// Peak of the next sweep; never over the ceiling.
  [[nodiscard]] double level_dbfs() const noexcept { return level_dbfs_; }

  void step_level(int steps) noexcept;

  [[nodiscard]] const SweepSettings& settings() const noexcept { return settings_; }

  /// Throws base::Error that names what is out of range; then nothing has changed.
  void set(SweepSettings settings);

  /// The next of what the plan's cuts may do to music; a plan at hand is made anew.
  void step_sound() noexcept;

  /// Once a pass: whether the key is held. A key that was down before is_shut() plays nothing.
  void hold(bool is_held, const base::AtRelease& at_release = {});
  /// Lets the devices go.
  void close();

  enum class State {
    kUnsaid,     ///< waits for say_shut()
    kReady,      ///< waits for the key
    kOpening,    ///< the devices are being opened
    kPlaying,    ///< and recording
    kMeasuring,  ///< nothing sounds any more
  };

  [[nodiscard]] State state() const noexcept;

  [[nodiscard]] double progress() const noexcept { return held_state_.progress; }

  /// How long the key is to be held, seconds.
  [[nodiscard]] double length_s() const noexcept { return signal().length_s(); }

  /// Why the last sweep gave nothing, one sentence; empty: it did.
  [[nodiscard]] std::string fault() const;

  /// The last sweep that was whole.
  [[nodiscard]] const std::optional<report::SweepReport>& report() const noexcept {
    return report_;
  }

  /// When it was played.
  [[nodiscard]] std::chrono::system_clock::time_point made_at() const noexcept { return made_at_; }

  /// Phase at the centre of each of its bands, less that of the first sound's travel, -180 to 180.
  [[nodiscard]] const std::vector<double>& phases_deg() const noexcept { return phases_deg_; }

  /// Grows with each report.
  [[nodiscard]] int report_count() const noexcept { return report_count_; }

  /// What is known of the loop beside the sweep: told, or the stage's own.
  [[nodiscard]] report::SweepKnowledge known() const;

  [[nodiscard]] bool is_on_stage() const noexcept { return scene_ != nullptr; }

 private:
  struct Made {
    int loop_count = 0;  // which loop it is of
    report::SweepReport report;
    std::vector<double> phases_deg;
  };

  [[nodiscard]] loop::SweepSignal signal() const noexcept;
  [[nodiscard]] HeldSweep::Maker maker() const;
  void take_sweep();
  void take_report();
  void plan_anew();

  std::function<void()> on_news_;
  SweepSettings settings_;
  double level_dbfs_ = kFirstSweepDbfs;
  bool is_shut_ = false;
  bool is_held_ = false;
  HeldSweep::State held_state_;

  // Of the desk.
  int loop_count_ = 0;  // rises with every other loop
  int source_count_ = 0;
  std::shared_ptr<const loop::Scene> scene_;  // nullptr: a device
  std::string input_;
  int tap_ = 1;
  double fader_db_ = 0.0;
  cuts::Target target_;

  report::SweepKnowledge swept_known_;  // as it was when the last sweep was played
  std::chrono::system_clock::time_point made_at_;
  std::optional<report::SweepReport> report_;
  std::vector<double> phases_deg_;
  int report_count_ = 0;
  std::string fault_;
  base::Background<Made> making_;
  std::shared_ptr<HeldSweep> held_;  // last: its thread ends first
};

}  // namespace brink::desk
