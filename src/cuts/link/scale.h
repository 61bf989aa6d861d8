#pragma once

#include <cstdint>
#include <optional>
#include <vector>

namespace brink::cuts {

/// How a console's numbers stand for Hz, Q or dB. Both rise along the points, or one of them falls
/// while the other rises; between two points they go together evenly. [any]
class Scale {
 public:
  enum class Kind : std::uint8_t {
    kLinear,       ///< equal steps of the number are equal steps of the value
    kLogarithmic,  ///< equal steps of the number are equal ratios of the value
    kTable,        ///< straight lines between points
  };

  struct Point {
    double number = 0.0;
    double value = 0.0;

    friend bool operator==(const Point&, const Point&) = default;
  };

  /// The number is the value.
  Scale();
  /// Two points or more, numbers rising, values rising or falling throughout; of a logarithmic
  /// scale two, with values above 0. `is_whole`: the console has whole numbers alone; then the
  /// numbers of the points are whole.
  Scale(Kind kind, bool is_whole, std::vector<Point> points);

  [[nodiscard]] bool is_whole() const noexcept { return is_whole_; }

  [[nodiscard]] double lowest_number() const noexcept { return points_.front().number; }

  [[nodiscard]] double highest_number() const noexcept { return points_.back().number; }

  [[nodiscard]] double lowest_value() const noexcept;
  [[nodiscard]] double highest_value() const noexcept;

  /// Nothing for a number that the scale does not have: outside of its points, or not finite.
  [[nodiscard]] std::optional<double> value_of(double number) const noexcept;

  /// The number whose value is nearest, as the console can have it: a whole one, or one of 32-bit
  /// floating point, as Open Sound Control sends it. Stays at the ends. `value` finite.
  [[nodiscard]] double number_of(double value) const noexcept;

  /// The next number of a whole scale on the way from `number` towards `goal`; `goal` itself where
  /// the scale is not whole.
  [[nodiscard]] double step_towards(double number, double goal) const noexcept;

  friend bool operator==(const Scale&, const Scale&) = default;

 private:
  Kind kind_ = Kind::kLinear;
  bool is_whole_ = false;
  std::vector<Point> points_;
};

}  // namespace brink::cuts
