#include "cuts/link/guard.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>
#include <vector>

namespace brink::cuts {
namespace {

constexpr double kLowestHz = 1.0;
constexpr double kHighestHz = 22050.0;
constexpr double kSampleRateHz = 44100.0;

/// The axis on which the filters have the analogue shape: frequency itself, or that of a digital
/// filter, which the bilinear transform stretches towards half the sample rate.
struct Axis {
  bool is_digital = false;

  [[nodiscard]] double place(double hz) const {
    // The designs stay a little below half the sample rate.
    const double inside = std::min(hz, 0.4999 * kSampleRateHz);
    return is_digital ? std::tan(std::numbers::pi * inside / kSampleRateHz) : hz;
  }

  [[nodiscard]] double frequency_hz(double place) const {
    return is_digital ? std::atan(place) * kSampleRateHz / std::numbers::pi : place;
  }
};

struct Change {
  std::vector<Cut> before;  // centre_hz holds the place on the axis
  std::vector<Cut> after;

  [[nodiscard]] double rise_db(double place) const {
    double rise = 0.0;
    for (const Cut& cut : after) {
      rise += level_db(cut, place);
    }
    for (const Cut& cut : before) {
      rise -= level_db(cut, place);
    }
    return rise;
  }
};

/// Where the response can bend. Along u = Q (x - 1/x), x = f / centre, a band's level changes
/// between A and 1/A, A = 10^(depth/40), and hardly beyond; 16 points to a decade there and a
/// decade and a half around.
void add_places(const Cut& cut, std::vector<double>& places) {
  constexpr double kPointsPerDecade = 16.0;
  const double decades = std::abs(cut.depth_db) / 40.0 + 1.5;
  places.push_back(cut.centre_hz);
  for (double at = -decades; at <= decades; at += 1.0 / kPointsPerDecade) {
    const double half = std::pow(10.0, at) / (2.0 * cut.q);
    const double x = half + std::sqrt(half * half + 1.0);  // the root above 1; 1/x is the other
    places.push_back(cut.centre_hz * x);
    places.push_back(cut.centre_hz / x);
  }
}

/// Narrows down on a maximum between two places: each third of the logarithm that cannot hold it
/// goes.
double refine(const Change& change, double low, double high) {
  for (int step = 0; step < 40; ++step) {
    const double ratio = std::cbrt(high / low);
    const double first = low * ratio;
    const double second = first * ratio;
    (change.rise_db(first) < change.rise_db(second) ? low : high) =
        change.rise_db(first) < change.rise_db(second) ? first : second;
  }
  return std::sqrt(low * high);
}

Rise highest_on(const Axis& axis, Change change) {
  std::vector<double> places;
  for (auto* cuts : {&change.before, &change.after}) {
    for (Cut& cut : *cuts) {
      cut.centre_hz = axis.place(cut.centre_hz);
      add_places(cut, places);
    }
  }
  constexpr double kEvenRatio = 1.06;  // a twelfth of an octave
  for (double hz = kLowestHz; hz < kHighestHz; hz *= kEvenRatio) {
    places.push_back(axis.place(hz));
  }
  const double lowest = axis.place(kLowestHz);
  const double highest = axis.place(kHighestHz);
  std::erase_if(places, [&](double place) { return place < lowest || place > highest; });
  places.insert(places.end(), {lowest, highest});
  std::sort(places.begin(), places.end());
  std::vector<double> rises;
  std::transform(places.begin(), places.end(), std::back_inserter(rises), [&](double place) {
    return change.rise_db(place);
  });
  Rise best;
  const auto keep = [&](double place, double db) {
    if (db > best.db) {
      best = {db, axis.frequency_hz(place)};
    }
  };
  for (std::size_t i = 0; i < places.size(); ++i) {
    keep(places[i], rises[i]);
    const bool is_inside = i > 0 && i + 1 < places.size();
    if (is_inside && rises[i] > 0.0 && rises[i] >= rises[i - 1] && rises[i] >= rises[i + 1]) {
      const double place = refine(change, places[i - 1], places[i + 1]);
      keep(place, change.rise_db(place));
    }
  }
  return best;
}

}  // namespace

Rise highest_rise(std::span<const Cut> before, std::span<const Cut> after) {
  Change change{{before.begin(), before.end()}, {after.begin(), after.end()}};
  // What stays cancels.
  std::erase_if(change.after, [&](const Cut& cut) {
    const auto same = std::find(change.before.begin(), change.before.end(), cut);
    const bool stays = same != change.before.end();
    if (stays) {
      change.before.erase(same);
    }
    return stays;
  });
  const auto is_flat = [](const Cut& cut) { return cut.depth_db == 0.0; };
  std::erase_if(change.before, is_flat);
  std::erase_if(change.after, is_flat);
  const Rise analogue = highest_on({false}, change);
  const Rise digital = highest_on({true}, change);
  return digital.db > analogue.db ? digital : analogue;
}

}  // namespace brink::cuts
