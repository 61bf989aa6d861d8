#pragma once

#include <memory>
#include <string>

#include "app/ear/exercise.h"
#include "io/player.h"

namespace brink::panel {

/// An exercise as it is heard: only while it is held, at a level that begins low and rises by the
/// user's own steps alone.
class EarSound {
 public:
  static constexpr double kLowestDb = -60.0;
  static constexpr double kStepDb = 2.0;

  /// The sound of the exercises from now on; silent.
  void load(const app::Exercise& exercise);
  /// Silent at once. Closing the device may take a second: what is returned holds it open until it
  /// is let go, on a thread that may wait.
  [[nodiscard]] std::shared_ptr<const void> unload() noexcept;

  /// Once a pass: sounds while held, ramps down when not.
  void hold(bool is_held);

  void step_level(int steps);

  [[nodiscard]] double level_db() const noexcept { return level_db_; }

  [[nodiscard]] bool is_playing() const noexcept { return is_playing_; }

  /// Some of it reached the device since load().
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

}  // namespace brink::panel
