#include "detector/scales.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "base/fft.h"

namespace brink::detector {

namespace {

constexpr double kHopS = 0.016;  // 768 samples at 48 kHz

/// What one scale is for.
struct ScalePlan {
  double window_s;
  double lowest_hz, highest_hz;         ///< where peaks are followed
  double speaks_from_hz, speaks_to_hz;  ///< where this scale stands for the spectrum
};

constexpr std::array<ScalePlan, 3> kScalePlans{{
    {0.3413, 40.0, 1200.0, 0.0, 700.0},          // 2.9 Hz bins
    {0.1707, 150.0, 5200.0, 700.0, 3500.0},      // 5.9 Hz bins
    {0.0853, 2000.0, 20000.0, 3500.0, 96000.0},  // 11.7 Hz bins
}};

/// The largest power of two by which the rate can fall and still pass `highest_hz` (a decimator is
/// flat to 0.4 of its rate).
int decimation_for(double sample_rate_hz, double highest_hz) {
  int factor = 1;
  while (factor < 64 && 0.4 * sample_rate_hz / (2 * factor) >= highest_hz) {
    factor *= 2;
  }
  return factor;
}

}  // namespace

double Scale::delay_s() const noexcept {
  const double window_s = 1.0 / spectrum.bin_width_hz();
  const auto window_samples = 2.0 * static_cast<double>(spectrum.bin_count() - 1);
  double rate_hz = window_samples / window_s;
  double delay_s = 0.5 * window_s;
  for (int i = 0; i < halvings; ++i) {
    rate_hz *= 2.0;
    delay_s += Decimator::delay_samples() / rate_hz;
  }
  return delay_s;
}

std::size_t Scale::first_bin() const noexcept {
  return static_cast<std::size_t>(
      std::ceil(static_cast<double>(lowest_hz) / spectrum.bin_width_hz()));
}

std::size_t Scale::end_bin() const noexcept {
  const double past = std::ceil(static_cast<double>(highest_hz) / spectrum.bin_width_hz());
  return std::min(spectrum.power().size(), static_cast<std::size_t>(past));
}

float Scale::total_power() const noexcept {
  const auto power = spectrum.power();
  const std::size_t first = first_bin();
  const std::size_t last = end_bin();
  // Four sums side by side: one alone would wait for each addition.
  std::array<float, 4> sums{};
  for (std::size_t k = first; k + 4 <= last; k += 4) {
    for (std::size_t lane = 0; lane < 4; ++lane) {
      sums[lane] += power[k + lane];
    }
  }
  return sums[0] + sums[1] + sums[2] + sums[3];
}

Scales::Scales(double sample_rate_hz) {
  std::array<int, kScalePlans.size()> factors{};
  std::transform(
      kScalePlans.begin(), kScalePlans.end(), factors.begin(), [&](const ScalePlan& plan) {
        return decimation_for(sample_rate_hz, plan.highest_hz);
      });
  const int most = *std::max_element(factors.begin(), factors.end());
  hop_samples_ = most * static_cast<int>(std::lround(kHopS * sample_rate_hz / most));
  for (int factor = 1; factor < most; factor *= 2) {
    decimators_.emplace_back(hop_samples_ / factor);
  }
  for (std::size_t i = 0; i < kScalePlans.size(); ++i) {
    const ScalePlan& plan = kScalePlans[i];
    const double highest_hz = std::min(plan.highest_hz, 0.45 * sample_rate_hz);
    if (plan.lowest_hz >= highest_hz) {
      continue;  // the rate is too low to hold this band
    }
    const double rate = sample_rate_hz / factors[i];
    const int window = base::fast_fft_size(static_cast<int>(std::lround(plan.window_s * rate)));
    const int hop = hop_samples_ / factors[i];
    Spectrum spectrum{rate, window, hop};
    const double width = spectrum.bin_width_hz();
    Tracks tracks{spectrum,
                  PeakRange{static_cast<int>(std::ceil(plan.lowest_hz / width)),
                            static_cast<int>(highest_hz / width)}};
    scales_.push_back(Scale{std::move(spectrum),
                            std::move(tracks),
                            SlopeFit{window, hop, kMaxSlopeLooks},
                            static_cast<int>(std::lround(std::log2(factors[i]))),
                            static_cast<float>(plan.speaks_from_hz),
                            static_cast<float>(plan.speaks_to_hz)});
  }
  scales_.back().highest_hz = static_cast<float>(sample_rate_hz);
}

void Scales::advance(std::span<const float> hop) noexcept {
  int halvings = 0;
  const auto look = [&](std::span<const float> samples) {
    for (Scale& scale : scales_) {
      if (scale.halvings == halvings) {
        scale.spectrum.advance(samples);
        scale.tracks.advance(scale.spectrum);
      }
    }
  };
  look(hop);
  for (Decimator& decimator : decimators_) {
    hop = decimator.process(hop);
    ++halvings;
    look(hop);
  }
}

}  // namespace brink::detector
