#include "core/spectrum.h"

#include <algorithm>
#include <cassert>
#include <utility>

#include "core/window.h"

namespace brink::core {

Spectrum::Spectrum(double sample_rate_hz, int window_samples, int hop_samples)
    : fft_{window_samples},
      bin_width_hz_{sample_rate_hz / window_samples},
      hop_s_{hop_samples / sample_rate_hz},
      window_{hann_window(window_samples)},
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

}  // namespace brink::core
