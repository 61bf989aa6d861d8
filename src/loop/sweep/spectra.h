#pragma once

#include <complex>
#include <span>
#include <vector>

#include "base/double_fft.h"

namespace brink::loop {

/// Sum of the squares.
[[nodiscard]] inline double power_of(std::span<const double> samples) noexcept {
  double sum = 0.0;
  for (const double sample : samples) {
    sum += sample * sample;
  }
  return sum;
}

/// The transform for impulse responses of one length, both ways. [one thread]
class Spectra {
 public:
  /// Room for `taps` samples at least.
  Spectra(std::size_t taps, double sample_rate_hz);

  [[nodiscard]] std::size_t bins() const noexcept {
    return static_cast<std::size_t>(fft_.bin_count());
  }

  [[nodiscard]] double bin_hz() const noexcept { return bin_hz_; }

  [[nodiscard]] double frequency_hz(std::size_t bin) const noexcept {
    return static_cast<double>(bin) * bin_hz_;
  }

  /// The nearest.
  [[nodiscard]] std::size_t bin(double frequency_hz) const noexcept;

  [[nodiscard]] std::vector<std::complex<double>> forward(std::span<const double> taps);

  /// The samples of a spectrum, a circle; good until the next call.
  [[nodiscard]] const std::vector<double>& inverse(std::span<const std::complex<double>> spectrum);

 private:
  base::DoubleFft fft_;
  std::vector<double> samples_;
  double bin_hz_;
};

/// How many samples `late` comes after `early`, at most about `most` either way: by the highest
/// point of their correlation, then by the slope of the phase between them, in least squares
/// weighed by power.
[[nodiscard]] double lag_samples(Spectra& spectra,
                                 std::span<const std::complex<double>> early,
                                 std::span<const std::complex<double>> late,
                                 double most);

/// Makes a response come so many samples earlier, parts of a sample too.
void turn_back(std::span<std::complex<double>> spectrum, double samples) noexcept;

}  // namespace brink::loop
