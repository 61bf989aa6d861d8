#include "ear/staircase.h"

#include <algorithm>
#include <numeric>

namespace brink::ear {

Staircase::Staircase(int highest, int start, bool has_settled) noexcept
    : highest_{std::max(0, highest)},
      level_{std::clamp(start, 0, highest_)},
      has_settled_{has_settled} {}

void Staircase::answer(bool is_right) {
  if (!is_right) {
    right_in_a_row_ = 0;
    move(-1);
    return;
  }
  if (++right_in_a_row_ == kRightInARow) {
    right_in_a_row_ = 0;
    move(1);
  }
}

void Staircase::move(int direction) {
  const bool is_turn = direction_ != 0 && direction != direction_;
  const int step = has_settled_ || is_turn ? 1 : kFirstStep;
  const int level = std::clamp(level_ + direction * step, 0, highest_);
  if (level == level_) {
    return;  // already at the end: no move and no turn
  }
  if (is_turn) {
    turns_.push_back(level_);
    has_settled_ = true;
  }
  direction_ = direction;
  level_ = level;
}

double settled_level(const std::vector<int>& turns, int left_out) noexcept {
  const auto count = static_cast<std::ptrdiff_t>(turns.size());
  const std::ptrdiff_t used = std::max<std::ptrdiff_t>(0, count - left_out) / 2 * 2;
  if (used == 0) {
    return 0.0;
  }
  return std::accumulate(turns.end() - used, turns.end(), 0.0) / static_cast<double>(used);
}

}  // namespace brink::ear
