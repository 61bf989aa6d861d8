#include "report/loop_gain.h"

#include <fmt/format.h>

#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <numbers>
#include <optional>
#include <string>

#include "base/error.h"
#include "base/units.h"

namespace brink::report {
namespace {

/// The response comes eight times as fine as one over its length; twice follows it within 0.06 dB.
constexpr std::size_t kThinning = 4;

/// An ordinary export writes two or three decimals: each frequency is off by at most this.
constexpr double kRoundedHz = 0.00501;

struct Point {
  double frequency_hz;
  std::complex<double> gain;
};

/// Three numbers, or nothing when the line says something else.
std::optional<std::array<double, 3>> read_numbers(std::string_view line) {
  std::array<double, 3> numbers{};
  for (double& number : numbers) {
    const auto first = line.find_first_not_of(" \t,;");
    if (first == std::string_view::npos) {
      return std::nullopt;
    }
    line.remove_prefix(first);
    const auto [end, error] = std::from_chars(line.data(), line.data() + line.size(), number);
    if (error != std::errc{} || !std::isfinite(number)) {
      return std::nullopt;
    }
    line.remove_prefix(static_cast<std::size_t>(end - line.data()));
  }
  if (line.find_first_not_of(" \t\r") != std::string_view::npos) {
    return std::nullopt;
  }
  return numbers;
}

std::vector<Point> read_points(std::string_view text, const std::string& name) {
  std::vector<Point> points;
  int number = 0;
  while (!text.empty()) {
    ++number;
    const auto end = std::min(text.find('\n'), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const auto first = line.find_first_not_of(" \t\r");
    if (first == std::string_view::npos || line[first] == '#' ||
        std::isalpha(static_cast<unsigned char>(line[first])) != 0) {
      continue;
    }
    const auto numbers = read_numbers(line);
    if (!numbers) {
      throw base::Error(fmt::format(
          "{}, line {}: needs three numbers: frequency in Hz, gain in dB, phase in degrees.",
          name,
          number));
    }
    const auto [frequency_hz, gain_db, phase_deg] = *numbers;
    if (std::abs(gain_db) > -base::kSilenceDb || frequency_hz < 0.0) {
      throw base::Error(fmt::format("{}, line {}: the {} is out of range.",
                                    name,
                                    number,
                                    frequency_hz < 0.0 ? "frequency" : "gain"));
    }
    points.push_back(
        {frequency_hz,
         std::polar(base::db_to_amplitude(gain_db), phase_deg * std::numbers::pi / 180.0)});
  }
  return points;
}

}  // namespace

EvenGain to_even_gain(const loop::LoopResponse& response) {
  EvenGain even;
  for (std::size_t k = kThinning; k < response.gain.size(); k += kThinning) {
    if (response.frequency_hz[k] > kHighestLoopHz) {
      break;
    }
    even.gain.push_back(response.gain[k]);
  }
  even.step_hz = even.gain.empty() ? 0.0 : response.frequency_hz[kThinning];
  return even;
}

EvenGain parse_loop_gain(std::string_view text, const std::string& name) {
  std::vector<Point> points = read_points(text, name);
  if (points.size() < 3) {
    throw base::Error(fmt::format("{}: holds no loop response: at least three frequencies.", name));
  }
  // Over all points, as one step alone may be rounded.
  const double mean_step_hz = (points.back().frequency_hz - points.front().frequency_hz) /
                              static_cast<double>(points.size() - 1);
  const double tolerance_hz = 0.01 * mean_step_hz + 4.0 * kRoundedHz;  // of two steps' difference
  for (std::size_t k = 1; k < points.size(); ++k) {
    const double here_hz = points[k].frequency_hz - points[k - 1].frequency_hz;
    const double first_hz = points[1].frequency_hz - points[0].frequency_hz;
    if (!(here_hz > 0.0) || std::abs(here_hz - first_hz) > tolerance_hz) {
      throw base::Error(
          fmt::format("{}: the frequencies must rise by even steps; they do not at {} Hz.",
                      name,
                      points[k].frequency_hz));
    }
  }
  // The planner's grid begins one step above 0 Hz; what is missing below is silent.
  const double first_steps = points[0].frequency_hz / mean_step_hz;
  const double missing = std::round(first_steps) - 1.0;
  if (std::abs(first_steps - std::round(first_steps)) > 0.01 + kRoundedHz / mean_step_hz ||
      missing > 1e6) {
    throw base::Error(fmt::format(
        "{}: the first frequency must be a whole number of steps of {} Hz.", name, mean_step_hz));
  }
  const double last_steps = std::round(first_steps) + static_cast<double>(points.size() - 1);
  const double step_hz = points.back().frequency_hz / last_steps;
  EvenGain even{.step_hz = step_hz, .gain = {}};
  even.gain.assign(static_cast<std::size_t>(std::max(missing, 0.0)), 0.0);
  for (const Point& point : points) {
    if (point.frequency_hz > 0.5 * step_hz) {
      even.gain.push_back(point.gain);
    }
  }
  return even;
}

}  // namespace brink::report
