#include "report/loop_forecast.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/double_fft.h"
#include "base/units.h"
#include "cuts/loop_gain.h"

namespace brink::report {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr double kEndsUnder = 1e-7;  // of the response's power: what comes after is left out
constexpr int kDelaysTried = 33;

std::size_t length_that_matters(std::span<const double> taps) {
  double left = 0.0;
  for (const double tap : taps) {
    left += tap * tap;
  }
  left *= kEndsUnder;
  std::size_t count = taps.size();
  while (count > 1 && left >= 0.0) {
    --count;
    left -= taps[count] * taps[count];
  }
  return count + 1;
}

}  // namespace

EvenGain to_even_gain(std::span<const double> taps,
                      double sample_rate_hz,
                      double starts_s,
                      double gain_db) {
  taps = taps.first(std::min(taps.size(), length_that_matters(taps)));
  int size = 4096;
  // Twice as fine as one over the length follows the response within 0.06 dB.
  while (static_cast<std::size_t>(size) < 2 * taps.size()) {
    size *= 2;
  }
  base::DoubleFft fft{size};
  std::vector<double> padded(static_cast<std::size_t>(size));
  std::copy(taps.begin(), taps.end(), padded.begin());
  std::vector<std::complex<double>> bins(static_cast<std::size_t>(fft.bin_count()));
  fft.forward(padded, bins);
  EvenGain even;
  even.step_hz = sample_rate_hz / size;
  const double gain_lin = base::db_to_amplitude(gain_db);
  for (std::size_t k = 1; k < bins.size(); ++k) {
    const double frequency_hz = static_cast<double>(k) * even.step_hz;
    if (frequency_hz > kHighestLoopHz) {
      break;
    }
    even.gain.push_back(bins[k] * std::polar(gain_lin, -kTurn * frequency_hz * starts_s));
  }
  return even;
}

EvenGain delayed(const EvenGain& loop, double delay_s) {
  EvenGain later = loop;
  for (std::size_t k = 0; k < later.gain.size(); ++k) {
    later.gain[k] *= std::polar(1.0, -kTurn * loop.loop().frequency_hz(k) * delay_s);
  }
  return later;
}

LoopForecast forecast(const EvenGain& loop, double range_db) {
  LoopForecast result;
  for (const cuts::Crossing& crossing : cuts::find_crossings(loop.loop(), range_db)) {
    result.rings.push_back({crossing.frequency_hz, -crossing.level_db});
  }
  result.stable_gain_db = result.rings.empty() ? -base::kSilenceDb : result.rings.front().until_db;
  result.soonest_db = result.stable_gain_db;
  result.latest_db = result.stable_gain_db;
  return result;
}

LoopForecast forecast_any_delay(const EvenGain& loop, double most_delay_s, double range_db) {
  LoopForecast result;
  double highest = 0.0;
  for (const auto& gain : loop.gain) {
    highest = std::max(highest, std::norm(gain));
  }
  const double least = highest * std::pow(10.0, -range_db / 10.0);
  for (std::size_t k = 1; k + 1 < loop.gain.size(); ++k) {
    const double power = std::norm(loop.gain[k]);
    if (power >= least && power > std::norm(loop.gain[k - 1]) &&
        power >= std::norm(loop.gain[k + 1])) {
      result.rings.push_back({loop.loop().frequency_hz(k), -base::power_to_db(power)});
    }
  }
  std::sort(result.rings.begin(), result.rings.end(), [](const auto& a, const auto& b) {
    return a.until_db < b.until_db;
  });
  result.stable_gain_db = -base::power_to_db(highest);
  result.soonest_db = result.stable_gain_db;
  result.latest_db = result.stable_gain_db;
  for (int k = 0; k < kDelaysTried; ++k) {
    const EvenGain later = delayed(loop, most_delay_s * k / (kDelaysTried - 1));
    result.latest_db = std::max(result.latest_db, -cuts::highest_crossing(later.loop()).level_db);
  }
  return result;
}

}  // namespace brink::report
