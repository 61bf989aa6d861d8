#pragma once

#include <vector>

#include "base/biquad.h"

namespace brink::loop {

/// A value over time: straight lines between points, level before the first and after the last. Two
/// points of one time make a step.
class Lines {
 public:
  struct Point {
    double time_s = 0.0;
    double value = 0.0;
  };

  /// 0 always.
  Lines() : Lines{0.0} {}

  /// A constant.
  explicit Lines(double value) : points_{{0.0, value}} {}

  /// Throws Error when there is no point, a number is not finite, or time runs backwards.
  explicit Lines(std::vector<Point> points);

  [[nodiscard]] double value_at(double time_s) const noexcept;

  [[nodiscard]] const std::vector<Point>& points() const noexcept { return points_; }

 private:
  std::vector<Point> points_;
};

/// Up in one straight line.
[[nodiscard]] Lines ramp(double from, double to, double start_s, double end_s);

/// From one value up to another in `count` equal steps, the first at `start_s`, the last at
/// `end_s`.
[[nodiscard]] Lines steps(double from, double to, double start_s, double end_s, int count);

/// The equaliser in the loop from one moment on.
struct EqualiserChange {
  double time_s = 0.0;
  std::vector<base::Biquad> sections;
};

/// What happens on the stage while it runs by itself.
struct StagePlan {
  Lines gain_db;   ///< loop gain in front of the equaliser
  Lines position;  ///< 0: the microphone hears `response`; 1: `moved_response`
  std::vector<EqualiserChange> equaliser;  ///< in order of time
};

}  // namespace brink::loop
