#pragma once

#include <complex>
#include <memory>
#include <span>
#include <vector>

namespace brink::base {

/// Discrete Fourier transform of real samples in double precision, both ways, with KissFFT. For
/// work that must not lose digits: a simulated loop feeds its own rounding errors back to itself.
/// About half the speed of Fft. Constructing allocates; transforming does not. Use one instance per
/// thread, since it owns scratch memory. [any]
class DoubleFft {
 public:
  /// `size_samples`: a multiple of 4, product of 2, 3 and 5, >= 4. Throws Error otherwise.
  explicit DoubleFft(int size_samples);
  ~DoubleFft();
  DoubleFft(DoubleFft&&) noexcept;
  DoubleFft& operator=(DoubleFft&&) noexcept;
  DoubleFft(const DoubleFft&) = delete;
  DoubleFft& operator=(const DoubleFft&) = delete;

  [[nodiscard]] int size_samples() const noexcept { return size_; }

  [[nodiscard]] int bin_count() const noexcept { return size_ / 2 + 1; }

  /// bins[k] = sum_n samples[n] exp(-2 pi i k n / size), k = 0 .. size / 2. No scaling. `samples`
  /// holds size values and `bins` bin_count() values. The two must not overlap.
  void forward(std::span<const double> samples, std::span<std::complex<double>> bins) noexcept;

  /// The inverse of forward(), multiplied by `size`. Divide by size_samples() to get the samples
  /// back.
  void inverse(std::span<const std::complex<double>> bins, std::span<double> samples) noexcept;

 private:
  struct Plans;
  int size_;
  std::unique_ptr<Plans> plans_;
};

}  // namespace brink::base
