#include "detector/scales.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "base/vector_fft.h"

namespace brink::detector {

namespace {

constexpr double kHopS = 0.016;  // 768 samples at 48 kHz

/// What one scale is for.
struct ScalePlan {
  double window_s;
  double lowest_hz, highest_hz;         ///< where peaks are followed
  double speaks_from_hz, speaks_to_hz;  ///< where this scale stands for the spectrum
};

// The middle one ends where a quarter of 44.1 kHz still holds it (Decimator::kMostFlatTo).
constexpr std::array<ScalePlan, 3> kScalePlans{{
    {0.3413, 40.0, 1200.0, 0.0, 700.0},          // 2.9 Hz bins
    {0.1707, 150.0, 4800.0, 700.0, 3500.0},      // 5.9 Hz bins
    {0.0853, 2000.0, 20000.0, 3500.0, 96000.0},  // 11.7 Hz bins
}};

/// The largest power of two by which the rate can fall and still pass `highest_hz`.
int decimation_for(double sample_rate_hz, double highest_hz) {
  int factor = 1;
  while (factor < 64 && Decimator::kMostFlatTo * sample_rate_hz / (2 * factor) >= highest_hz) {
    factor *= 2;
  }
  return factor;
}

/// One decimator after the other. Each is as long as the bands of the scales behind it ask for.
std::vector<Decimator> make_decimators(double sample_rate_hz,
                                       int hop_samples,
                                       std::span<const int> factors) {
  std::vector<Decimator> decimators;
  const int most = *std::max_element(factors.begin(), factors.end());
  for (int factor = 2; factor <= most; factor *= 2) {
    double highest_hz = 0.0;
    for (std::size_t i = 0; i < factors.size(); ++i) {
      if (factors[i] >= factor) {
        highest_hz = std::max(highest_hz, kScalePlans.at(i).highest_hz);
      }
    }
    decimators.emplace_back(2 * hop_samples / factor, highest_hz * factor / sample_rate_hz);
  }
  return decimators;
}

}  // namespace

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
  decimators_ = make_decimators(sample_rate_hz, hop_samples_, factors);
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
    const auto halvings = static_cast<std::size_t>(std::lround(std::log2(factors[i])));
    double decimation_s = 0.0;
    for (std::size_t k = 0; k < halvings; ++k) {
      decimation_s += decimators_[k].delay_samples() / (sample_rate_hz / std::exp2(k));
    }
    scales_.push_back(Scale{std::move(spectrum),
                            std::move(tracks),
                            SlopeFit{window, hop, kMaxSlopeLooks},
                            static_cast<int>(halvings),
                            static_cast<float>(plan.speaks_from_hz),
                            static_cast<float>(plan.speaks_to_hz),
                            decimation_s});
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
