#include "cuts/link/scale.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace brink::cuts {

Scale::Scale() : points_{{0.0, 0.0}, {1.0, 1.0}} {}

Scale::Scale(Kind kind, bool is_whole, std::vector<Point> points)
    : kind_(kind), is_whole_(is_whole), points_(std::move(points)) {}

double Scale::lowest_value() const noexcept {
  return std::min(points_.front().value, points_.back().value);
}

double Scale::highest_value() const noexcept {
  return std::max(points_.front().value, points_.back().value);
}

std::optional<double> Scale::value_of(double number) const noexcept {
  // A console that counts in 32 bits may miss the end of its own scale by a rounding.
  const double slack = 1e-6 * (highest_number() - lowest_number());
  if (!(number >= lowest_number() - slack && number <= highest_number() + slack)) {
    return std::nullopt;
  }
  const double inside = std::clamp(number, lowest_number(), highest_number());
  auto upper = std::find_if(points_.begin() + 1, points_.end() - 1, [&](const Point& point) {
    return inside <= point.number;
  });
  const Point& high = *upper;
  const Point& low = *(upper - 1);
  const double part = (inside - low.number) / (high.number - low.number);
  return kind_ == Kind::kLogarithmic ? low.value * std::pow(high.value / low.value, part)
                                     : low.value + part * (high.value - low.value);
}

double Scale::number_of(double value) const noexcept {
  const double inside = std::clamp(value, lowest_value(), highest_value());
  const bool is_rising = points_.back().value > points_.front().value;
  auto upper = std::find_if(points_.begin() + 1, points_.end() - 1, [&](const Point& point) {
    return is_rising ? inside <= point.value : inside >= point.value;
  });
  const Point& high = *upper;
  const Point& low = *(upper - 1);
  const double part = kind_ == Kind::kLogarithmic
                          ? std::log(inside / low.value) / std::log(high.value / low.value)
                          : (inside - low.value) / (high.value - low.value);
  const double number = low.number + part * (high.number - low.number);
  if (!is_whole_) {
    return static_cast<double>(static_cast<float>(number));
  }
  const double below = std::floor(number);
  const double above = std::ceil(number);
  const auto distance = [&](double one) { return std::abs(*value_of(one) - inside); };
  return distance(below) <= distance(above) ? below : above;
}

double Scale::step_towards(double number, double goal) const noexcept {
  if (!is_whole_ || std::abs(goal - number) <= 1.0) {
    return goal;
  }
  return std::round(number) + (goal > number ? 1.0 : -1.0);
}

}  // namespace brink::cuts
