#pragma once

#include <memory>
#include <string>

#include "app/ear/exercise.h"

namespace brink::panel {

/// An exercise as it is heard: only while it is held, at a level that begins low and rises by the
/// user's own steps alone.
class EarSound {
 public:
  EarSound();
  ~EarSound();
  EarSound(const EarSound&) = delete;
  EarSound& operator=(const EarSound&) = delete;
  EarSound(EarSound&&) = delete;
  EarSound& operator=(EarSound&&) = delete;

  static constexpr double kLowestDb = -60.0;
  static constexpr double kStepDb = 2.0;

  /// The sound of the exercises from now on; silent.
  void load(const app::Exercise& exercise);
  void unload() noexcept;

  /// Once a pass: sounds while held, ramps down when not.
  void hold(bool is_held);

  void step_level(int steps);

  [[nodiscard]] double level_db() const noexcept { return level_db_; }

  [[nodiscard]] bool is_playing() const noexcept;

  /// Some of it reached the device since load().
  [[nodiscard]] bool was_heard() const noexcept { return was_heard_; }

  /// Why nothing can be heard on this machine, one sentence; empty: it can, as far as is known.
  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

 private:
  struct Output;

  std::unique_ptr<Output> output_;
  double level_db_;
  bool is_held_ = false;
  bool was_heard_ = false;
  std::string fault_;
};

}  // namespace brink::panel
