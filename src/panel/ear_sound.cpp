#include "panel/ear_sound.h"

#include <algorithm>
#include <utility>

#include "core/error.h"

namespace brink::panel {

void EarSound::load(const app::Exercise& exercise) {
  was_heard_ = false;
  is_held_ = false;
  is_playing_ = false;
  fault_.clear();
  try {
    player_ = std::make_shared<io::Player>(exercise.sample_rate_hz, exercise.samples);
    player_->set_level_db(level_db_);
  } catch (const core::Error& error) {
    fault_ = error.what();
  }
}

std::shared_ptr<const void> EarSound::unload() noexcept {
  if (player_) {
    player_->stop();
  }
  is_held_ = false;
  is_playing_ = false;
  return std::exchange(player_, nullptr);
}

void EarSound::hold(bool is_held) {
  if (!player_) {
    return;
  }
  const io::Player::State state = player_->state();
  is_playing_ = state == io::Player::State::kPlaying;
  if (state == io::Player::State::kFailed) {
    fault_ = player_->why();
    return;
  }
  was_heard_ = was_heard_ || player_->position() > 0;
  if (is_held && !is_held_) {
    player_->play();
  } else if (!is_held && is_held_) {
    player_->stop();
  }
  is_held_ = is_held;
}

void EarSound::step_level(int steps) {
  level_db_ = std::clamp(level_db_ + kStepDb * steps, kLowestDb, 0.0);
  if (player_) {
    player_->set_level_db(level_db_);
  }
}

}  // namespace brink::panel
