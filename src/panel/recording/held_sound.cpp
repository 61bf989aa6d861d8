#include "panel/recording/held_sound.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/error.h"
#include "panel/draw/draw.h"

namespace brink::panel {

void HeldSound::load(double sample_rate_hz, std::span<const float> samples) {
  try {
    take(std::make_shared<io::Player>(sample_rate_hz, samples));
  } catch (const base::Error& error) {
    refuse(error.what());
  }
}

void HeldSound::take(std::shared_ptr<io::Player> player) {
  was_heard_ = false;
  is_held_ = false;
  is_playing_ = false;
  fault_.clear();
  player_ = std::move(player);
  player_->set_level_db(level_db_);
}

void HeldSound::refuse(std::string sentence) {
  was_heard_ = false;
  fault_ = std::move(sentence);
}

std::shared_ptr<const void> HeldSound::unload() noexcept {
  if (player_) {
    player_->stop();
  }
  is_held_ = false;
  is_playing_ = false;
  return std::exchange(player_, nullptr);
}

void HeldSound::hold(bool is_held, const base::AtRelease& at_release) {
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
    if (at_release) {
      at_release([playing = std::weak_ptr(player_)] {
        if (const auto player = playing.lock()) {
          player->stop();
        }
      });
    }
  } else if (!is_held && is_held_) {
    player_->stop();
  }
  is_held_ = is_held;
}

void HeldSound::step_level(int steps) {
  level_db_ = std::clamp(level_db_ + kStepDb * steps, kLowestDb, 0.0);
  if (player_) {
    player_->set_level_db(level_db_);
  }
}

void draw_sound_level(Rect& area, const HeldSound& sound, const Theme& theme) {
  const Rect head = area.take_top(theme.px(30.0F));
  const char* const state = !sound.fault().empty() ? "No sound"
                            : sound.is_playing()   ? "Sounding"
                                                   : "Silent";
  draw_text(theme.strong,
            head.left,
            head.top + theme.px(3.0F),
            sound.is_playing() ? colour::kVermilion : colour::kText,
            state);
  draw_text(theme.title,
            head.right,
            head.top,
            colour::kText,
            fmt::format("{:.0f} dB", sound.level_db()),
            Align::kRight);
  const Rect bar = area.take_top(theme.px(16.0F));
  const auto share =
      static_cast<float>((sound.level_db() - HeldSound::kLowestDb) / -HeldSound::kLowestDb);
  canvas().AddRectFilled(ImVec2(bar.left, bar.top),
                         ImVec2(bar.right, bar.top + theme.px(6.0F)),
                         colour::kGrid,
                         theme.px(3.0F));
  canvas().AddRectFilled(ImVec2(bar.left, bar.top),
                         ImVec2(bar.left + share * bar.width(), bar.top + theme.px(6.0F)),
                         colour::kSky,
                         theme.px(3.0F));
}

}  // namespace brink::panel
