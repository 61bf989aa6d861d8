#include "loop/plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace brink::loop {

Lines::Lines(std::vector<Point> points) : points_{std::move(points)} {
  if (points_.empty()) {
    throw base::Error{"a plan needs at least one point."};
  }
  double last_s = points_.front().time_s;
  for (const Point& point : points_) {
    if (!std::isfinite(point.time_s) || !std::isfinite(point.value) || point.time_s < last_s) {
      throw base::Error{fmt::format(
          "a plan's times must rise and its numbers be finite; got {:g} at {:g} s after {:g} s.",
          point.value,
          point.time_s,
          last_s)};
    }
    last_s = point.time_s;
  }
}

double Lines::value_at(double time_s) const noexcept {
  const auto after =
      std::upper_bound(points_.begin(), points_.end(), time_s, [](double time, const Point& point) {
        return time < point.time_s;
      });
  if (after == points_.begin()) {
    return points_.front().value;
  }
  if (after == points_.end()) {
    return points_.back().value;
  }
  const Point& before = *(after - 1);
  const double share = (time_s - before.time_s) / (after->time_s - before.time_s);
  return before.value + share * (after->value - before.value);
}

Lines ramp(double from, double to, double start_s, double end_s) {
  return Lines{{{start_s, from}, {end_s, to}}};
}

Lines steps(double from, double to, double start_s, double end_s, int count) {
  if (count < 1) {
    throw base::Error{fmt::format("a plan needs at least one step; got {}.", count)};
  }
  std::vector<Lines::Point> points;
  for (int step = 1; step <= count; ++step) {
    const double share = count == 1 ? 0.0 : static_cast<double>(step - 1) / (count - 1);
    const double at_s = start_s + share * (end_s - start_s);
    points.push_back({at_s, from + (to - from) * (step - 1) / count});
    points.push_back({at_s, from + (to - from) * step / count});
  }
  return Lines{std::move(points)};
}

}  // namespace brink::loop
