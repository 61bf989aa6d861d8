#pragma once

#include <span>
#include <vector>

#include "cuts/cut.h"
#include "cuts/score/score.h"

namespace brink::cuts {

/// Wanted cuts as crossings of a loop. Each cut's place is as high as the cut is deep; its edges
/// are half as high.
[[nodiscard]] std::vector<Crossing> to_crossings(std::span<const Cut> wanted, double highest_hz);

/// Score when only some frequencies are known. The `crossings` stay at their frequencies. The rest
/// of the loop is taken to reach `floor_db` everywhere, whatever the equaliser does, so nothing
/// more is won below that level.
class RingScore final : public Score {
 public:
  RingScore(std::span<const Crossing> crossings,
            double floor_db,
            std::size_t slot_count,
            double sample_rate_hz);

  void set_sharpness(int doublings) override { doublings_ = doublings; }

  double try_change(std::size_t index, const Shape& now, double limit_power) override;
  void make_change() override;
  double soft_power() const override;
  Crossing highest() const override;

 private:
  [[nodiscard]] double soft_power_of(const std::vector<float>& powers) const;

  [[nodiscard]] WarpedAxis axis() const noexcept {
    return {t_.data(), inverse_t_.data(), t_.size()};
  }

  double floor_power_;
  int doublings_ = kHardest;
  std::vector<double> frequencies_hz_;
  std::vector<float> t_;
  std::vector<float> inverse_t_;
  std::vector<float> power_;
  std::vector<float> tried_power_;
  std::vector<Shape> shapes_;
  std::size_t tried_index_ = 0;
  Shape tried_shape_;
};

}  // namespace brink::cuts
