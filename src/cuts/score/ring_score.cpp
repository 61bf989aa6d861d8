#include "cuts/score/ring_score.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/units.h"

namespace brink::cuts {

std::vector<Crossing> to_crossings(std::span<const Cut> wanted, double highest_hz) {
  std::vector<Crossing> crossings;
  for (const Cut& cut : wanted) {
    const double half_octaves = 0.5 / cut.q / std::numbers::ln2;
    for (const double octaves : {-half_octaves, 0.0, half_octaves}) {
      const double f_hz = std::min(cut.centre_hz * std::exp2(octaves), highest_hz);
      crossings.push_back({f_hz, octaves == 0.0 ? -cut.depth_db : -0.5 * cut.depth_db});
    }
  }
  return crossings;
}

RingScore::RingScore(std::span<const Crossing> crossings,
                     double floor_db,
                     std::size_t slot_count,
                     double sample_rate_hz)
    : floor_power_(std::pow(10.0, floor_db / 10.0)), shapes_(slot_count) {
  for (const Crossing& crossing : crossings) {
    const double t = warp(crossing.frequency_hz, sample_rate_hz);
    frequencies_hz_.push_back(crossing.frequency_hz);
    t_.push_back(static_cast<float>(t));
    inverse_t_.push_back(static_cast<float>(1.0 / t));
    power_.push_back(static_cast<float>(std::pow(10.0, crossing.level_db / 10.0)));
  }
  tried_power_ = power_;
}

double RingScore::soft_power_of(const std::vector<float>& powers) const {
  double highest = floor_power_;
  for (const float power : powers) {
    highest = std::max(highest, static_cast<double>(power));
  }
  if (doublings_ == kHardest) {
    return highest;
  }
  const double exponent = std::exp2(doublings_);
  double sum = std::pow(floor_power_ / highest, exponent);
  for (const float power : powers) {
    sum += std::pow(static_cast<double>(power) / highest, exponent);
  }
  return highest * std::pow(sum, 1.0 / exponent);
}

double RingScore::try_change(std::size_t index, const Shape& now, double limit_power) {
  // A few dozen points and their powers take about as much time as two blocks of a loop.
  worked += 1 + static_cast<std::int64_t>(power_.size() / 16);
  tried_index_ = index;
  tried_shape_ = now;
  tried_power_ = power_;
  now.multiply_power(axis(), tried_power_.data());
  shapes_[index].divide_power(axis(), tried_power_.data());
  const double power = soft_power_of(tried_power_);
  return power <= limit_power ? power : std::numeric_limits<double>::infinity();
}

void RingScore::make_change() {
  power_ = tried_power_;
  shapes_[tried_index_] = tried_shape_;
}

double RingScore::soft_power() const {
  return soft_power_of(power_);
}

Crossing RingScore::highest() const {
  Crossing highest{frequencies_hz_.empty() ? 0.0 : frequencies_hz_.front(),
                   base::power_to_db(floor_power_)};
  for (std::size_t k = 0; k < power_.size(); ++k) {
    const double level_db = base::power_to_db(static_cast<double>(power_[k]));
    if (level_db > highest.level_db) {
      highest = {frequencies_hz_[k], level_db};
    }
  }
  return highest;
}

}  // namespace brink::cuts
