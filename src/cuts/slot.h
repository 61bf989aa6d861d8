#pragma once

#include <cmath>
#include <cstddef>
#include <numbers>
#include <span>
#include <vector>

#include "cuts/setting.h"

namespace brink::cuts {

/// What one filter of an equaliser may be set to, as lists to choose from: the planner's moves are
/// steps along these lists, so that nothing is left to round.
struct Slot {
  enum class Kind { kPeaking, kHighPass };

  Kind kind = Kind::kPeaking;
  std::vector<double> centres_hz;  ///< rising; corner frequencies of a high-pass
  std::vector<double> qs;          ///< rising; one, HighPass::kQ, for a high-pass
  std::vector<double> depths_db;   ///< falling, first 0: off. A high-pass: 0 off, any other on
};

/// A place on a slot's lists.
struct Choice {
  int centre = 0;
  int q = 0;
  int depth = 0;  ///< 0: the slot is off

  friend bool operator==(const Choice&, const Choice&) = default;
};

/// The setting that choices, one per slot, amount to.
[[nodiscard]] Setting to_setting(std::span<const Slot> slots, std::span<const Choice> choices);

/// Index of the list's value nearest to `value`; the list rises and is not empty.
[[nodiscard]] int nearest_index(std::span<const double> list, double value);

/// The bilinear transform's frequency scale, on which a digital filter is its analogue prototype.
[[nodiscard]] inline double warp(double frequency_hz, double sample_rate_hz) noexcept {
  return std::tan(std::numbers::pi * frequency_hz / sample_rate_hz);
}

}  // namespace brink::cuts
