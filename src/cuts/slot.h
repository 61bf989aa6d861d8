#pragma once

#include <cmath>
#include <cstddef>
#include <numbers>
#include <span>
#include <vector>

#include "cuts/setting.h"

namespace brink::cuts {

/// The values that one filter of an equaliser may have, as lists. The planner's moves are steps
/// along these lists, so nothing needs rounding.
struct Slot {
  enum class Kind { kPeaking, kHighPass };

  Kind kind = Kind::kPeaking;
  std::vector<double> centres_hz;  ///< rising; for a high-pass: the corner frequencies
  std::vector<double> qs;          ///< rising; for a high-pass: one value, HighPass::kQ
  /// Falling; the first is 0: off. For a high-pass: 0 off, any other on.
  std::vector<double> depths_db;
};

/// A value from each list of a slot, as indices.
struct Choice {
  int centre = 0;
  int q = 0;
  int depth = 0;  ///< 0: the slot is off

  friend bool operator==(const Choice&, const Choice&) = default;
};

/// The setting that the choices make, one choice per slot.
[[nodiscard]] Setting to_setting(std::span<const Slot> slots, std::span<const Choice> choices);

/// Index of the value in `list` that is nearest to `value`. The list rises and is not empty.
[[nodiscard]] int nearest_index(std::span<const double> list, double value);

/// The bilinear transform's frequency scale. On it a digital filter equals its analogue prototype.
[[nodiscard]] inline double warp(double frequency_hz, double sample_rate_hz) noexcept {
  return std::tan(std::numbers::pi * frequency_hz / sample_rate_hz);
}

}  // namespace brink::cuts
