#include "cuts/propose.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>
#include <optional>

#include "cuts/filters.h"

namespace brink::cuts {
namespace {

/// One place on the frequency axis that needs a cut. The cut must be `depth_db` deep at each of
/// `frequencies_hz`, and must reach `reach_hz` beyond the outer ones.
struct Place {
  std::vector<double> frequencies_hz;  // rising
  double reach_hz = 0.0;
  double depth_db = 0.0;
  std::vector<int> rings;
};

double round_to(double value, double step) noexcept {
  return std::round(value / step) * step;
}

/// The measurement, with illegal values replaced by the nearest legal ones.
RingMeasurement legal(RingMeasurement ring) noexcept {
  const auto at_least = [](double value, double least) {
    return std::isfinite(value) ? std::max(value, least) : least;
  };
  ring.frequency_hz = at_least(ring.frequency_hz, 1.0);
  ring.frequency_sd_hz = at_least(ring.frequency_sd_hz, 0.0);
  ring.growth_db_per_s = at_least(ring.growth_db_per_s, 0.0);
  ring.returns = std::max(ring.returns, 0);
  const bool has_range = ring.frequency_low_hz > 0.0 && std::isfinite(ring.frequency_high_hz) &&
                         ring.frequency_low_hz <= ring.frequency_hz &&
                         ring.frequency_high_hz >= ring.frequency_hz;
  if (!has_range) {
    ring.frequency_low_hz = ring.frequency_high_hz = ring.frequency_hz;
  }
  return ring;
}

/// The middle of where the ring was.
double middle_of(const RingMeasurement& ring) noexcept {
  return 0.5 * (ring.frequency_low_hz + ring.frequency_high_hz);
}

/// Half-width that the cut must have around a ring. It is the sum of four parts: where it glided,
/// where it may be (two standard deviations), where it may move (drift), and a way towards the next
/// frequency at which the loop phase is a whole turn. That frequency lies about 1/delay away and
/// would ring next if only this one were cut. Half of that way is enough: at the half-depth point
/// the cut still takes half of its dB.
double reach_of(const RingMeasurement& ring, const ProposeConfig& config) noexcept {
  return 0.5 * (ring.frequency_high_hz - ring.frequency_low_hz) + 2.0 * ring.frequency_sd_hz +
         config.drift_ratio * ring.frequency_hz + 0.5 / config.loop_delay_s;
}

/// Depth in whole steps, at least one. It covers the excess over the brink and the margin, and one
/// step for each time that the ring came back.
double depth_of(const RingMeasurement& ring, int more_steps, const ProposeConfig& config) noexcept {
  const double excess_db = ring.growth_db_per_s * config.loop_delay_s;
  const double steps =
      std::ceil((excess_db + config.margin_db) / config.step_db - 1e-9) + ring.returns + more_steps;
  return std::max(-steps * config.step_db, config.deepest_db);
}

/// The cut for a place. None when no legal cut is deep enough at all of its frequencies.
std::optional<Cut> fit(const Place& place, const ProposeConfig& config) {
  const double low_hz = place.frequencies_hz.front();
  const double high_hz = place.frequencies_hz.back();
  const double centre_hz = std::sqrt(low_hz * high_hz);
  const double width_hz = high_hz - low_hz + 2.0 * place.reach_hz;
  Cut cut;
  cut.centre_hz = round_to(centre_hz, centre_hz < 100.0 ? 0.1 : 1.0);
  cut.q = round_to(std::clamp(centre_hz / width_hz, config.widest_q, config.narrowest_q), 0.1);
  cut.depth_db = place.depth_db;
  // Rings this near to each other count as one for the cut's width.
  const bool is_single = high_hz - low_hz < place.reach_hz;
  while (!is_single) {
    const double weakest_db = std::max(level_db(cut, low_hz), level_db(cut, high_hz));
    // Rounding to steps leaves half a step open in any case.
    if (weakest_db <= place.depth_db + 0.5 * config.step_db) {
      break;
    }
    if (cut.depth_db - config.step_db < config.deepest_db) {
      return std::nullopt;
    }
    cut.depth_db -= config.step_db;
  }
  return cut;
}

/// What a cut takes away from the sound, up to a constant factor: its area over a logarithmic
/// frequency axis.
double cost_of(const Cut& cut) noexcept {
  return -cut.depth_db * q_to_bandwidth(cut.q);
}

Place join(const Place& a, const Place& b) {
  Place both = a;
  both.frequencies_hz.insert(
      both.frequencies_hz.end(), b.frequencies_hz.begin(), b.frequencies_hz.end());
  std::sort(both.frequencies_hz.begin(), both.frequencies_hz.end());
  both.reach_hz = std::max(a.reach_hz, b.reach_hz);
  both.depth_db = std::min(a.depth_db, b.depth_db);
  both.rings.insert(both.rings.end(), b.rings.begin(), b.rings.end());
  return both;
}

Place place_of(const RingMeasurement& ring,
               int index,
               int more_steps,
               const ProposeConfig& config) {
  return {{middle_of(ring)}, reach_of(ring, config), depth_of(ring, more_steps, config), {index}};
}

/// One place for each frequency that rang. Rings within each other's reach are one place. If they
/// rang one after the other, the place came back, and its cut is one step deeper.
std::vector<Place> find_places(std::span<const RingMeasurement> measured,
                               const ProposeConfig& config) {
  std::vector<RingMeasurement> rings;
  std::transform(measured.begin(), measured.end(), std::back_inserter(rings), legal);
  std::vector<int> order(rings.size());
  std::iota(order.begin(), order.end(), 0);
  const auto ring_at = [&](int index) -> const RingMeasurement& {
    return rings[static_cast<std::size_t>(index)];
  };
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return middle_of(ring_at(a)) < middle_of(ring_at(b));
  });
  std::vector<Place> places;
  for (const int index : order) {
    const RingMeasurement& ring = ring_at(index);
    Place place = place_of(ring, index, 0, config);
    Place* last = places.empty() ? nullptr : &places.back();
    if (last == nullptr || middle_of(ring) - last->frequencies_hz.front() >=
                               std::min(place.reach_hz, last->reach_hz)) {
      places.push_back(std::move(place));
      continue;
    }
    const bool came_back = std::any_of(last->rings.begin(), last->rings.end(), [&](int other) {
      return ring_at(other).end_s <= ring.start_s || ring.end_s <= ring_at(other).start_s;
    });
    *last = join(*last, came_back ? place_of(ring, index, 1, config) : place);
  }
  return places;
}

}  // namespace

double trusted_growth(double growth_db_per_s, double confidence) noexcept {
  constexpr double kSure = 0.45;  // what a note can reach, a ring goes beyond
  return confidence < kSure ? 0.0 : growth_db_per_s;
}

Cut propose_cut(const RingMeasurement& ring, const ProposeConfig& config) {
  // There is always a cut for a single frequency.
  return *fit(place_of(legal(ring), 0, 0, config), config);
}

std::vector<SharedCut> share_cuts(std::span<const RingMeasurement> rings,
                                  const ProposeConfig& config) {
  std::vector<Place> places = find_places(rings, config);
  // Joins the pair of neighbours that saves most, until no pair saves anything. There is always a
  // cut for one place, since its rings lie within one reach.
  while (true) {
    double best_saving = 0.0;
    std::size_t best = places.size();
    std::optional<Place> best_joined;
    for (std::size_t i = 0; i + 1 < places.size(); ++i) {
      Place joined = join(places[i], places[i + 1]);
      const auto wide = fit(joined, config);
      const auto left = fit(places[i], config);
      const auto right = fit(places[i + 1], config);
      if (!wide || !left || !right) {
        continue;
      }
      const double saving = cost_of(*left) + cost_of(*right) - cost_of(*wide);
      if (saving > best_saving) {
        best_saving = saving;
        best = i;
        best_joined = std::move(joined);
      }
    }
    if (!best_joined) {
      break;
    }
    places[best] = std::move(*best_joined);
    places.erase(places.begin() + static_cast<std::ptrdiff_t>(best) + 1);
  }
  std::vector<SharedCut> cuts;
  for (Place& place : places) {
    std::sort(place.rings.begin(), place.rings.end());
    cuts.push_back({*fit(place, config), std::move(place.rings)});
  }
  return cuts;
}

}  // namespace brink::cuts
