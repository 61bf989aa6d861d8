#pragma once

#include <vector>

namespace brink::ear {

/// Difficulty that follows the trainee: one level harder after two right answers in a row, one
/// level easier after each wrong answer. It settles where two in a row are right half of the time:
/// at sqrt(1/2) = 70.7 % right. Source: the transformed up-down rule of H. Levitt, "Transformed
/// up-down methods in psychoacoustics", J. Acoust. Soc. Am. 49(2), 467-477, 1971. Until the first
/// turn a step is two levels, to get there sooner. [any]
class Staircase {
 public:
  static constexpr int kRightInARow = 2;
  static constexpr int kFirstStep = 2;

  /// Levels go from 0 (easiest) to `highest` >= 0. `start` is moved into that range. With
  /// `has_settled` it counts as turned already, and a step is one level from the beginning.
  Staircase(int highest, int start, bool has_settled) noexcept;

  /// Takes an answer and changes the level by the rule.
  void answer(bool is_right);

  [[nodiscard]] int level() const noexcept { return level_; }

  /// The levels at which the direction changed, oldest first.
  [[nodiscard]] const std::vector<int>& turns() const noexcept { return turns_; }

 private:
  void move(int direction);

  int highest_;
  int level_;
  int right_in_a_row_ = 0;
  int direction_ = 0;  // direction of the last move; 0: none yet
  bool has_settled_;
  std::vector<int> turns_;
};

/// The level at which a staircase has settled: the mean of its turns without the first `left_out`.
/// An even number of turns counts, the newest ones. 0 when there are none.
[[nodiscard]] double settled_level(const std::vector<int>& turns, int left_out) noexcept;

}  // namespace brink::ear
