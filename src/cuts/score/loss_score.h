#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "cuts/setting.h"
#include "cuts/shape.h"

namespace brink::cuts {

/// mean_level_lost_db(), updated filter by filter, with fewer points to a band.
class LossScore {
 public:
  LossScore(std::size_t slot_count, double sample_rate_hz);

  /// The loss in dB if slot `index` were set to `now`.
  [[nodiscard]] double try_change_db(std::size_t index, const Shape& now);
  /// Makes the change that was tried last.
  void make_change();

 private:
  // A cut of Q 60 is a sixtieth of an octave wide: three points.
  static constexpr std::size_t kPointsPerBand = 64;
  static constexpr std::size_t kPoints = kPointsPerBand * static_cast<std::size_t>(kLossBandCount);

  [[nodiscard]] WarpedAxis axis() const noexcept { return {t_.data(), inverse_t_.data(), kPoints}; }

  std::array<float, kPoints> t_{};
  std::array<float, kPoints> inverse_t_{};
  std::array<float, kPoints> power_{};
  std::array<float, kPoints> tried_power_{};
  std::vector<Shape> shapes_;
  std::size_t tried_index_ = 0;
  Shape tried_shape_;
};

}  // namespace brink::cuts
