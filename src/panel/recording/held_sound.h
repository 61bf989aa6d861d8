#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "base/at_release.h"
#include "io/live/player.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// A sound as it is heard: only while it is held, at a level that begins low and rises by the
/// user's own steps alone.
class HeldSound {
 public:
  static constexpr double kLowestDb = -60.0;
  static constexpr double kStepDb = 2.0;

  /// What sounds from now on when it is held; silent. As io::Player takes it.
  void load(double sample_rate_hz, std::span<const float> samples);
  /// The same with a player that was made elsewhere.
  void take(std::shared_ptr<io::Player> player);
  /// Says that there is nothing to hear, and why.
  void refuse(std::string sentence);
  /// Silent at once. Closing the device may take a second: what is returned holds it open until it
  /// is let go, on a thread that may wait.
  [[nodiscard]] std::shared_ptr<const void> unload() noexcept;

  /// Once a pass: sounds while held, from its beginning, ramps down when not.
  void hold(bool is_held, const base::AtRelease& at_release);

  void step_level(int steps);

  [[nodiscard]] double level_db() const noexcept { return level_db_; }

  [[nodiscard]] bool is_playing() const noexcept { return is_playing_; }

  /// The next sample to reach the device; of what was loaded.
  [[nodiscard]] std::int64_t position() const noexcept { return player_ ? player_->position() : 0; }

  /// Some of it reached the device since it was loaded.
  [[nodiscard]] bool was_heard() const noexcept { return was_heard_; }

  /// Why nothing can be heard on this machine, one sentence; empty: it can, as far as is known.
  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

 private:
  std::shared_ptr<io::Player> player_;
  double level_db_ = io::Player::kFirstLevelDb;
  bool is_held_ = false;
  bool is_playing_ = false;
  bool was_heard_ = false;
  std::string fault_;
};

/// Whether it sounds and how loud it is set, as the head of a card; takes it off the area.
void draw_sound_level(Rect& area, const HeldSound& sound, const Theme& theme);

}  // namespace brink::panel
