#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "base/background.h"
#include "cuts/setting.h"
#include "loop/scene.h"

namespace brink::desk {

/// What an equaliser wins on a simulated stage by the stage's own truth: the gain at which the open
/// loop reaches its brink (loop::max_stable_gain_db) with the equaliser, less that without it.
/// Takes some 100 ms, on a thread of its own. [one face thread]
class TrueGain {
 public:
  /// `on_news` is called on another thread when update() has something to take.
  explicit TrueGain(std::function<void()> on_news) : on_news_(std::move(on_news)) {}

  /// Another stage, its equaliser flat; nullptr: none.
  void set_stage(std::shared_ptr<const loop::StageConfig> stage);
  void set_equaliser(cuts::Setting setting);

  /// Once a pass.
  void update();

  /// Nothing without a stage, and while it is being worked out anew.
  [[nodiscard]] std::optional<double> won_db() const noexcept { return won_db_; }

 private:
  void start();

  std::function<void()> on_news_;
  std::shared_ptr<const loop::StageConfig> stage_;
  cuts::Setting setting_;
  std::optional<double> won_db_;
  bool is_stale_ = false;  // what is being worked out is no longer what is asked for
  base::Background<double> working_;
};

}  // namespace brink::desk
