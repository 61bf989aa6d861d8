#include "report/plan_input.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <stdexcept>

#include "base/error.h"
#include "base/nearest_int.h"
#include "base/printable.h"
#include "listen/analysis.h"
#include "report/json_lines.h"
#include "show/ring_measurement.h"

namespace brink::report {
namespace {

constexpr double kLowestRingHz = 10.0;
constexpr double kHighestRingHz = 96000.0;

bool is_ring_frequency(double frequency_hz) {
  return frequency_hz >= kLowestRingHz && frequency_hz <= kHighestRingHz;
}

/// Parses one line's object and adds its rings.
void add_rings(const Json& report,
               std::optional<int> channel,
               std::vector<cuts::RingMeasurement>& rings) {
  const double duration_s = report.value("duration_s", 0.0);
  for (const auto& ring : report.at("rings")) {
    // One that never was certain carries no cut.
    if (!ring.contains("cut") || ring.at("cut").is_null() ||
        (channel && base::nearest_int(ring.value("channel", 1.0)) != *channel)) {
      continue;
    }
    cuts::RingMeasurement measured;
    measured.frequency_hz = ring.at("frequency_hz").get<double>();
    measured.frequency_sd_hz = ring.value("frequency_sd_hz", 0.0);
    measured.growth_db_per_s =
        cuts::trusted_growth(ring.value("growth_db_per_s", 0.0), ring.value("confidence", 1.0));
    measured.start_s = ring.value("onset_s", 0.0);
    measured.end_s = ring.contains("ended_s") && !ring.at("ended_s").is_null()
                         ? ring.at("ended_s").get<double>()
                         : duration_s;
    if (!is_ring_frequency(measured.frequency_hz)) {
      throw std::out_of_range("frequency_hz");
    }
    rings.push_back(measured);
  }
}

}  // namespace

std::vector<cuts::RingMeasurement> parse_rings_json(std::string_view text,
                                                    const std::string& name,
                                                    std::optional<int> channel) {
  std::vector<cuts::RingMeasurement> rings;
  for_each_json_line(text, name, "'brink analyse --format json'", [&](const Json& report) {
    if (report.value("schema", "") != "brink/analysis/1") {
      throw std::invalid_argument("schema");
    }
    add_rings(report, channel, rings);
  });
  return rings;
}

std::vector<cuts::RingMeasurement> parse_ring_list(std::string_view text, double sample_rate_hz) {
  const auto count = static_cast<std::size_t>(std::count(text.begin(), text.end(), ',')) + 1;
  if (count > kMostListedRings) {
    throw base::Error(fmt::format(
        "--rings: {} frequencies are more than the {} that a plan by hand takes; name those that "
        "rang first.",
        count,
        kMostListedRings));
  }
  std::vector<cuts::RingMeasurement> rings;
  while (true) {
    const auto end = std::min(text.find(','), text.size());
    std::string_view word = text.substr(0, end);
    while (!word.empty() && word.front() == ' ') {
      word.remove_prefix(1);
    }
    while (!word.empty() && word.back() == ' ') {
      word.remove_suffix(1);
    }
    double frequency_hz = 0.0;
    const auto [rest, error] =
        std::from_chars(word.data(), word.data() + word.size(), frequency_hz);
    if (error != std::errc{} || rest != word.data() + word.size() ||
        !is_ring_frequency(frequency_hz)) {
      throw base::Error(
          fmt::format("--rings: '{}' is no frequency in Hz, {:.0f} to {:.0f}; write 2631,811.5.",
                      base::printable(std::string(word)),
                      kLowestRingHz,
                      kHighestRingHz));
    }
    if (frequency_hz >= 0.5 * sample_rate_hz) {
      throw base::Error(
          fmt::format("--rings: {:g} Hz is not below half of the equaliser's sample rate, {:g} Hz; "
                      "give another frequency or --sample-rate.",
                      frequency_hz,
                      sample_rate_hz));
    }
    rings.push_back({.frequency_hz = frequency_hz});
    if (end == text.size()) {
      return rings;
    }
    text.remove_prefix(end + 1);
  }
}

}  // namespace brink::report
