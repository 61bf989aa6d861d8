#include "robot/brink_gauge.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace brink::robot {
namespace {

/// A ring that is not certain counts from this confidence on. If it is wrong, one cut too many
/// costs a narrow dip. If a place is missed, it costs another round.
constexpr double kLikely = 0.3;
/// A line that grows, or decays, more slowly than this is more programme than loop.
constexpr double kGrowsDbPerS = 1.0;
constexpr double kDecaysDbPerS = -5.0;
/// From a wedge at arm's length to a hall with a T60 of 4 s. A measured delay beyond these limits
/// comes from a disturbance.
constexpr double kShortestDelayS = 0.003;
constexpr double kLongestDelayS = 0.4;
constexpr double kUnknownDelayS = 0.05;
/// The detector reports one ring as two if it loses the ring for a moment. Rings nearer than this
/// are one.
constexpr double kSameRingHz = 1.5;

std::optional<double> growth_of(std::span<const RisingRing> rings, std::uint32_t id) {
  const auto found = std::find_if(
      rings.begin(), rings.end(), [&](const RisingRing& heard) { return heard.ring.id == id; });
  if (found == rings.end() || found->growth_db_per_s == 0.0) {
    return std::nullopt;
  }
  return found->growth_db_per_s;
}

}  // namespace

double BrinkGauge::typical_delay_s() const {
  if (delays_s_.empty()) {
    return kUnknownDelayS;
  }
  std::vector<double> delays_s = delays_s_;
  const auto middle = delays_s.begin() + static_cast<std::ptrdiff_t>(delays_s.size() / 2);
  std::nth_element(delays_s.begin(), middle, delays_s.end());
  return *middle;
}

std::vector<RangPlace> BrinkGauge::read(std::span<const RisingRing> high,
                                        double high_db,
                                        std::span<const RisingRing> low,
                                        double low_db) {
  const auto delay_s = [&](const RisingRing& heard) -> std::optional<double> {
    const auto down = growth_of(low, heard.ring.id);
    if (!down || *down > kDecaysDbPerS || heard.growth_db_per_s < kGrowsDbPerS) {
      return std::nullopt;
    }
    return std::clamp(
        (high_db - low_db) / (heard.growth_db_per_s - *down), kShortestDelayS, kLongestDelayS);
  };
  for (const RisingRing& heard : high) {
    if (const auto own_s = delay_s(heard)) {
      delays_s_.push_back(*own_s);
    }
  }
  std::vector<RangPlace> places;
  for (const RisingRing& heard : high) {
    const bool is_certain = heard.ring.flagged_sample != detector::kNever;
    if (!is_certain && heard.ring.confidence < kLikely) {
      continue;
    }
    // A ring that was lost in the meantime, or that a louder one keeps down at the limiter, grew
    // before.
    const double growth_db_per_s =
        heard.growth_db_per_s < kGrowsDbPerS ? heard.ring.growth_db_per_s : heard.growth_db_per_s;
    const double own_s = delay_s(heard).value_or(typical_delay_s());
    places.push_back({heard.ring.frequency_hz,
                      growth_db_per_s,
                      high_db - growth_db_per_s * own_s,
                      is_certain,
                      own_s});
  }
  std::sort(places.begin(), places.end(), [](const RangPlace& a, const RangPlace& b) {
    return a.brink_db < b.brink_db;
  });
  std::vector<RangPlace> apart;
  for (const RangPlace& place : places) {
    const bool is_known = std::any_of(apart.begin(), apart.end(), [&](const RangPlace& other) {
      return std::abs(other.frequency_hz - place.frequency_hz) < kSameRingHz;
    });
    if (!is_known) {
      apart.push_back(place);
    }
  }
  return apart;
}

}  // namespace brink::robot
