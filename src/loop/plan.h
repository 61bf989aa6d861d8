#pragma once

#include <vector>

#include "base/biquad.h"

namespace brink::loop {

/// A value over time: straight lines between points. It is constant before the first point and
/// after the last. Two points at the same time make a step.
class Lines {
 public:
  struct Point {
    double time_s = 0.0;
    double value = 0.0;
  };

  /// Always 0.
  Lines() : Lines{0.0} {}

  /// A constant.
  explicit Lines(double value) : points_{{0.0, value}} {}

  /// Throws Error when there is no point, when a number is not finite, or when time goes backwards.
  explicit Lines(std::vector<Point> points);

  [[nodiscard]] double value_at(double time_s) const noexcept;

  [[nodiscard]] const std::vector<Point>& points() const noexcept { return points_; }

 private:
  std::vector<Point> points_;
};

/// One straight line from `from` at `start_s` to `to` at `end_s`.
[[nodiscard]] Lines ramp(double from, double to, double start_s, double end_s);

/// Equal steps from one value to another, `count` of them: the first at `start_s`, the last at
/// `end_s`.
[[nodiscard]] Lines steps(double from, double to, double start_s, double end_s, int count);

/// A new setting of the equaliser in the loop, from one moment on.
struct EqualiserChange {
  double time_s = 0.0;
  std::vector<base::Biquad> sections;
};

/// What happens on the stage while it runs without a user.
struct StagePlan {
  Lines gain_db;   ///< loop gain before the equaliser
  Lines position;  ///< 0: the microphone hears `response`; 1: it hears `moved_response`
  std::vector<EqualiserChange> equaliser;  ///< rising in time
};

}  // namespace brink::loop
