#include "detector/spectrum.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>
#include <utility>

#include "base/window.h"

namespace brink::detector {

namespace {

/// Weights of the bins at -1, 0 and +1 for a tone `offset_bins` (-0.5 to 0.5) from the middle one.
std::array<float, 3> three_bin_weights(float offset_bins) noexcept {
  constexpr float kOnBin = 1e-3F;  // the formulae have their limits at whole bins
  if (std::abs(offset_bins) < kOnBin) {
    return {0.0F, 1.0F, 0.0F};
  }
  // Both lobes are a sine over a polynomial, the sine the same in all three bins but for its sign:
  // the window's own, sin(pi d) / (pi d (1 - d^2)), and that of its square, the inner product of
  // two windows turned d bins apart, which has 3/8 / (1 - d^2 / 4) besides.
  const auto lobe = [](float d) { return 1.0F / (d * (1.0F - d * d)); };
  const auto squared = [](float d) { return 0.375F / (1.0F - 0.25F * d * d); };
  const float lobe_below = -lobe(offset_bins + 1.0F);
  const float lobe_here = lobe(offset_bins);
  const float lobe_above = -lobe(offset_bins - 1.0F);
  const float below = lobe_below * squared(offset_bins + 1.0F);
  const float here = lobe_here * squared(offset_bins);
  const float above = lobe_above * squared(offset_bins - 1.0F);
  // Inverse of {{3/8, 1/4, 1/16}, {1/4, 3/8, 1/4}, {1/16, 1/4, 3/8}}, the windows' inner products.
  std::array<float, 3> weights{6.4F * below - 6.4F * here + 3.2F * above,
                               -6.4F * below + 11.2F * here - 6.4F * above,
                               3.2F * below - 6.4F * here + 6.4F * above};
  constexpr float kPi = std::numbers::pi_v<float>;
  const float sine = std::sin(kPi * offset_bins) / kPi;
  const float gain =
      sine * (weights[0] * lobe_below + weights[1] * lobe_here + weights[2] * lobe_above);
  for (float& weight : weights) {
    weight /= gain;
  }
  return weights;
}

}  // namespace

BetweenBins::BetweenBins(float position_bins) noexcept
    // Positions are positive; lround() would be a call for each track and look.
    : bin_{static_cast<std::size_t>(position_bins + 0.5F)},  // NOLINT(bugprone-incorrect-roundings)
      weights_{three_bin_weights(position_bins - static_cast<float>(bin_))} {
  // Counted from the middle of the window, neighbouring bins differ in sign.
  const float sign = bin_ % 2 == 0 ? 1.0F : -1.0F;
  weights_ = {-sign * weights_[0], sign * weights_[1], -sign * weights_[2]};
}

Spectrum::Spectrum(double sample_rate_hz, int window_samples, int hop_samples)
    : fft_{window_samples},
      bin_width_hz_{sample_rate_hz / window_samples},
      hop_s_{hop_samples / sample_rate_hz},
      window_{base::hann_window(window_samples)},
      samples_(static_cast<std::size_t>(window_samples)),
      windowed_(samples_.size()),
      bins_(static_cast<std::size_t>(fft_.bin_count())),
      previous_bins_(bins_.size()),
      power_(bins_.size()),
      hop_samples_{static_cast<std::size_t>(hop_samples)} {
  assert(hop_samples > 0 && hop_samples <= window_samples);
  // The window sums to size / 2, and a sine puts half its amplitude into its positive frequency.
  const float scale = 4.0F / static_cast<float>(window_samples);
  for (float& weight : window_) {
    weight *= scale;
  }
}

void Spectrum::advance(std::span<const float> hop) noexcept {
  assert(hop.size() == hop_samples_);
  std::copy(samples_.begin() + static_cast<std::ptrdiff_t>(hop_samples_),
            samples_.end(),
            samples_.begin());
  std::copy(hop.begin(), hop.end(), samples_.end() - static_cast<std::ptrdiff_t>(hop_samples_));
  for (std::size_t n = 0; n < samples_.size(); ++n) {
    windowed_[n] = window_[n] * samples_[n];
  }
  std::swap(bins_, previous_bins_);
  fft_.forward(windowed_, bins_);
  for (std::size_t k = 0; k < power_.size(); ++k) {
    power_[k] = bins_[k].real() * bins_[k].real() + bins_[k].imag() * bins_[k].imag();
  }
}

}  // namespace brink::detector
