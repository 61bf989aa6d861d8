#include "panel/ear_sound.h"

#include <algorithm>

namespace brink::panel {
namespace {

constexpr double kFirstLevelDb = -20.0;

}  // namespace

struct EarSound::Output {};

EarSound::EarSound() : level_db_(kFirstLevelDb) {}

EarSound::~EarSound() = default;

void EarSound::load(const app::Exercise&) {
  was_heard_ = false;
  fault_ = "No sound output was found.";
}

void EarSound::unload() noexcept {
  is_held_ = false;
}

void EarSound::hold(bool is_held) {
  is_held_ = is_held && output_;
}

void EarSound::step_level(int steps) {
  level_db_ = std::clamp(level_db_ + kStepDb * steps, kLowestDb, 0.0);
}

bool EarSound::is_playing() const noexcept {
  return is_held_;
}

}  // namespace brink::panel
