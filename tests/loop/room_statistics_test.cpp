// What is known of the transfer function of a diffuse room, checked on rooms of our own: the closed
// loop's peaks, and so all of brink's truth, hang on it.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "loop/open_loop.h"
#include "loop/room.h"

using namespace brink::loop;

namespace {

constexpr double kLowHz = 500.0;
constexpr double kHighHz = 6500.0;

struct Statistics {
  double maximum_spacing_hz = 0.0;
  double level_sd_db = 0.0;
  double crossing_spacing_hz = 0.0;
  double turn_spacing_hz = 0.0;
  double highest_peak_db = 0.0;      // over the power mean
  double highest_crossing_db = 0.0;  // over the power mean
};

/// A hard-walled room with the microphone far beyond the critical distance and the travel time
/// of the direct sound taken off, so that only the room itself turns the phase.
std::vector<double> diffuse_taps(double t60_s, std::uint64_t seed) {
  RoomConfig room;
  room.sample_rate_hz = 16000.0;
  room.length_m = 4.6 + 0.02 * static_cast<double>(seed);
  room.width_m = 3.6;
  room.height_m = 2.5;
  room.t60_s = t60_s;
  room.t60_low_ratio = 1.0;
  room.t60_high_ratio = 1.0;
  room.pattern = Pattern::kOmni;
  room.microphone = {0.5, 0.6, 0.9};
  room.loudspeaker = {4.0, 3.1, 2.1};
  room.seed = seed;
  std::vector<double> taps = room_response(room);
  const auto first = std::find_if(taps.begin(), taps.end(), [](double tap) { return tap != 0.0; });
  taps.erase(taps.begin(), first);
  return taps;
}

Statistics measure(const std::vector<double>& taps) {
  const OpenLoop loop{taps, {}, 16000.0};
  const LoopResponse grid = loop.response();
  const double bin_hz = grid.frequency_hz[1];
  const auto first = static_cast<std::size_t>(kLowHz / bin_hz);
  const auto last = static_cast<std::size_t>(kHighHz / bin_hz);
  double power = 0.0;
  double level = 0.0;
  double level_square = 0.0;
  double turned = 0.0;
  double highest = 0.0;
  int maxima = 0;
  for (std::size_t k = first; k < last; ++k) {
    const double here = std::norm(grid.gain[k]);
    const double here_db = 10.0 * std::log10(here);
    power += here;
    level += here_db;
    level_square += here_db * here_db;
    highest = std::max(highest, here);
    maxima += here > std::norm(grid.gain[k - 1]) && here >= std::norm(grid.gain[k + 1]) ? 1 : 0;
    turned -= std::arg(grid.gain[k + 1] / grid.gain[k]);
  }
  const auto count = static_cast<double>(last - first);
  const double mean_db = 10.0 * std::log10(power / count);
  int crossing_count = 0;
  double highest_crossing_db = -100.0;
  for (std::size_t k = first; k < last; ++k) {
    const std::complex<double> a = grid.gain[k];
    const std::complex<double> b = grid.gain[k + 1];
    if ((a.imag() < 0.0) != (b.imag() < 0.0) && a.real() + b.real() > 0.0) {
      ++crossing_count;
      highest_crossing_db = std::max(highest_crossing_db, 10.0 * std::log10(std::norm(a)));
    }
  }
  Statistics statistics;
  statistics.maximum_spacing_hz = (kHighHz - kLowHz) / maxima;
  statistics.crossing_spacing_hz = (kHighHz - kLowHz) / crossing_count;
  statistics.turn_spacing_hz = (kHighHz - kLowHz) / (turned / (2.0 * std::numbers::pi));
  statistics.level_sd_db = std::sqrt(level_square / count - (level / count) * (level / count));
  statistics.highest_peak_db = 10.0 * std::log10(highest) - mean_db;
  statistics.highest_crossing_db = highest_crossing_db - mean_db;
  return statistics;
}

Statistics mean_of_rooms(double t60_s, int count) {
  Statistics sum;
  for (int room = 1; room <= count; ++room) {
    const Statistics one = measure(diffuse_taps(t60_s, static_cast<std::uint64_t>(room)));
    sum.maximum_spacing_hz += one.maximum_spacing_hz / count;
    sum.level_sd_db += one.level_sd_db / count;
    sum.crossing_spacing_hz += one.crossing_spacing_hz / count;
    sum.turn_spacing_hz += one.turn_spacing_hz / count;
    sum.highest_peak_db += one.highest_peak_db / count;
    sum.highest_crossing_db += one.highest_crossing_db / count;
  }
  return sum;
}

}  // namespace

TEST_CASE("diffuse rooms behave as the statistics of room acoustics say") {
  for (const double t60_s : {0.5, 1.0, 2.0}) {
    CAPTURE(t60_s);
    const Statistics mean = mean_of_rooms(t60_s, 12);
    // Source: expected maximum stable gain of a loop with unity mean power gain, after M. R.
    // Schroeder, as T. van Waterschoot and M. Moonen print it, "Fifty years of acoustic feedback
    // control", Proc. IEEE 99(2), 288-327, 2011, eq. 18: -10 log10(log10(B T60 / 22)) - 3.8 dB.
    // Within 1 dB: an asymptotic formula for an extreme value.
    const double expected_db =
        -10.0 * std::log10(std::log10((kHighHz - kLowHz) * t60_s / 22.0)) - 3.8;
    CHECK(std::abs(-mean.highest_crossing_db - expected_db) < 1.0);
    // Source: mean spacing of the maxima about 4 / T60 (M. R. Schroeder, H. Kuttruff, J. Acoust.
    // Soc. Am. 34, 76-80, 1962, as later literature quotes it).
    CHECK(mean.maximum_spacing_hz == doctest::Approx(4.0 / t60_s).epsilon(0.05));
    // Source: level spread of 5.5 to 5.6 dB (the same statistics: the logarithm of an exponentially
    // distributed power). Twelve rooms of some hundred independent places each give it within 0.2
    // dB.
    CHECK(std::abs(mean.level_sd_db - 5.57) < 0.2);
    // One turn of phase per 13.8 / T60 on the mean, since the energy's centre lies at T60 / 13.8; a
    // whole-turn frequency each 9.8 / T60, because the phase runs to and fro (numerical experiment
    // with decaying noise, no closed form known to us).
    CHECK(mean.turn_spacing_hz == doctest::Approx(13.8 / t60_s).epsilon(0.07));
    CHECK(mean.crossing_spacing_hz == doctest::Approx(9.8 / t60_s).epsilon(0.07));
    // The highest peak stands about 10 dB over the mean (M. R. Schroeder, J. Audio Eng. Soc. 35(5),
    // 299, 1987, English version of the paper of 1954).
    CHECK(std::abs(mean.highest_peak_db - 9.5) < 1.0);
  }
}
