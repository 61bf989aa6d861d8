#include "listen/ring_alone.h"

#include <ebur128.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <utility>

#include "base/biquad.h"
#include "base/units.h"

namespace brink::listen {
namespace {

struct CloseMeter {
  void operator()(ebur128_state* state) const noexcept { ebur128_destroy(&state); }
};

/// -3 dB at half_hz to either side of the centre, as nearly as the bilinear transform has it.
base::Biquad band_pass(double centre_hz, double half_hz, double sample_rate_hz) noexcept {
  const double turn = 2.0 * std::numbers::pi * centre_hz / sample_rate_hz;
  const double alpha = 0.5 * std::sin(turn) * (2.0 * half_hz / centre_hz);
  const double a0 = 1.0 + alpha;
  return {alpha / a0, 0.0, -alpha / a0, -2.0 * std::cos(turn) / a0, (1.0 - alpha) / a0};
}

double peak_of(std::span<const float> samples) noexcept {
  float peak = 0.0F;
  for (const float sample : samples) {
    peak = std::max(peak, std::abs(sample));
  }
  return static_cast<double>(peak);
}

void give(std::span<float> samples, double gain_db) noexcept {
  const auto gain = static_cast<float>(base::db_to_amplitude(gain_db));
  std::for_each(samples.begin(), samples.end(), [gain](float& sample) { sample *= gain; });
}

}  // namespace

std::optional<double> loudness_lufs(std::span<const float> samples, double sample_rate_hz) {
  const std::unique_ptr<ebur128_state, CloseMeter> meter(
      ebur128_init(1, static_cast<unsigned long>(std::lround(sample_rate_hz)), EBUR128_MODE_I));
  double lufs = 0.0;
  const bool is_measured =
      meter && ebur128_add_frames_float(meter.get(), samples.data(), samples.size()) == 0 &&
      ebur128_loudness_global(meter.get(), &lufs) == 0;
  return is_measured && std::isfinite(lufs) ? std::optional(lufs) : std::nullopt;
}

double half_width_hz(double frequency_hz) noexcept {
  constexpr double kShare = 0.01;
  constexpr double kLeastHz = 8.0;
  return std::max(kShare * frequency_hz, kLeastHz);
}

void keep_band(std::span<float> samples, double frequency_hz, double sample_rate_hz) noexcept {
  const base::Biquad section = band_pass(frequency_hz, half_width_hz(frequency_hz), sample_rate_hz);
  for (int pass = 0; pass < 2; ++pass) {
    base::BiquadRunner(section).run(samples);
  }
}

RingAndWhole at_one_loudness(std::vector<float> whole, double frequency_hz, double sample_rate_hz) {
  RingAndWhole pair;
  pair.alone = whole;
  pair.whole = std::move(whole);
  keep_band(pair.alone, frequency_hz, sample_rate_hz);
  const auto alone_lufs = loudness_lufs(pair.alone, sample_rate_hz);
  const auto whole_lufs = loudness_lufs(pair.whole, sample_rate_hz);
  if (!alone_lufs || !whole_lufs) {
    return pair;
  }
  const double room_db = -base::amplitude_to_db(peak_of(pair.alone));
  pair.alone_gain_db = std::min(*whole_lufs - *alone_lufs, room_db);
  pair.loudness_lufs = *alone_lufs + pair.alone_gain_db;
  pair.whole_gain_db = *pair.loudness_lufs - *whole_lufs;
  give(pair.alone, pair.alone_gain_db);
  give(pair.whole, pair.whole_gain_db);
  return pair;
}

}  // namespace brink::listen
