#include "cuts/score/loss_score.h"

#include <cmath>

#include "base/units.h"

namespace brink::cuts {

LossScore::LossScore(std::size_t slot_count, double sample_rate_hz) : shapes_(slot_count) {
  std::size_t k = 0;
  for (int band = kFirstLossBand; band <= kLastLossBand; ++band) {
    const double lower_hz = base::third_octave_lower_hz(band);
    const double ratio = base::third_octave_upper_hz(band) / lower_hz;
    for (std::size_t point = 0; point < kPointsPerBand; ++point, ++k) {
      const double share = (static_cast<double>(point) + 0.5) / kPointsPerBand;
      const double t = warp(lower_hz * std::pow(ratio, share), sample_rate_hz);
      t_[k] = static_cast<float>(t);
      inverse_t_[k] = static_cast<float>(1.0 / t);
    }
  }
  power_.fill(1.0F);
  tried_power_ = power_;
}

double LossScore::try_change_db(std::size_t index, const Shape& now) {
  tried_index_ = index;
  tried_shape_ = now;
  tried_power_ = power_;
  now.multiply_power(axis(), tried_power_.data());
  shapes_[index].divide_power(axis(), tried_power_.data());
  // The mean of the bands' dB is the dB of the product of their powers.
  double product = 1.0;
  for (std::size_t first = 0; first < kPoints; first += kPointsPerBand) {
    float sum = 0.0F;
    for (std::size_t k = first; k < first + kPointsPerBand; ++k) {
      sum += tried_power_[k];
    }
    product *= static_cast<double>(sum) / kPointsPerBand;
  }
  return -10.0 * std::log10(product) / kLossBandCount;
}

void LossScore::make_change() {
  power_ = tried_power_;
  shapes_[tried_index_] = tried_shape_;
}

}  // namespace brink::cuts
