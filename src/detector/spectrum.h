#pragma once

#include <array>
#include <complex>
#include <span>
#include <vector>

#include "base/vector_fft.h"

namespace brink::detector {

/// Reads a Hann-windowed transform between its bins, from the three bins around the place: the
/// combination that comes nearest to the window turned to that frequency in least squares over the
/// window. A steady tone there reads its amplitude and the phase it has at the middle of the
/// window, wherever between the bins it lies; the nearest bin alone would lose up to 1.4 dB of it.
class BetweenBins {
 public:
  /// `position_bins` from bin 0; must have two bins on each side.
  explicit BetweenBins(float position_bins) noexcept;

  [[nodiscard]] std::complex<float> read(std::span<const std::complex<float>> bins) const noexcept {
    return weights_[0] * bins[bin_ - 1] + weights_[1] * bins[bin_] + weights_[2] * bins[bin_ + 1];
  }

 private:
  std::size_t bin_;
  std::array<float, 3> weights_;
};

/// Short-time spectrum of a stream: a Hann window over the newest samples, once per hop.
/// Delay: half a window. Constructing allocates, advance() does not. [analysis]
class Spectrum {
 public:
  /// `window_samples`: from base::fast_fft_size(); `hop_samples` > 0, at most the window.
  Spectrum(double sample_rate_hz, int window_samples, int hop_samples);

  /// Takes the next hop (exactly hop_samples) and transforms the window that ends with it. Before
  /// the first full window the past counts as silence.
  void advance(std::span<const float> hop) noexcept;

  [[nodiscard]] double bin_width_hz() const noexcept { return bin_width_hz_; }

  [[nodiscard]] int bin_count() const noexcept { return fft_.bin_count(); }

  [[nodiscard]] double hop_s() const noexcept { return hop_s_; }

  /// Power per bin, scaled so that a full-scale sine on a bin reads 1.
  [[nodiscard]] std::span<const float> power() const noexcept { return power_; }

  [[nodiscard]] std::span<const std::complex<float>> bins() const noexcept { return bins_; }

  /// The bins one hop earlier.
  [[nodiscard]] std::span<const std::complex<float>> previous_bins() const noexcept {
    return previous_bins_;
  }

 private:
  base::VectorFft fft_;
  double bin_width_hz_;
  double hop_s_;
  std::vector<float> window_;   ///< scaled: its transform of a full-scale sine peaks at magnitude 1
  std::vector<float> samples_;  ///< the newest window, oldest first
  std::vector<float> windowed_;
  std::vector<std::complex<float>> bins_, previous_bins_;
  std::vector<float> power_;
  std::size_t hop_samples_;
};

}  // namespace brink::detector
