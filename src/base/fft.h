#pragma once

#include <complex>
#include <memory>
#include <span>

namespace brink::base {

/// The smallest fast length for Fft that is not below `least_samples` (>= 2). It is even and a
/// product of 2, 3 and 5.
[[nodiscard]] int fast_fft_size(int least_samples) noexcept;

/// Discrete Fourier transform of real samples, both ways, with KissFFT (single precision).
/// Constructing allocates; transforming does not. Use one instance per thread, since it owns
/// scratch memory. [any]
class Fft {
 public:
  /// `size_samples`: even, >= 2. Throws Error otherwise.
  explicit Fft(int size_samples);
  ~Fft();
  Fft(Fft&&) noexcept;
  Fft& operator=(Fft&&) noexcept;
  Fft(const Fft&) = delete;
  Fft& operator=(const Fft&) = delete;

  [[nodiscard]] int size_samples() const noexcept { return size_; }

  [[nodiscard]] int bin_count() const noexcept { return size_ / 2 + 1; }

  /// bins[k] = sum_n samples[n] exp(-2 pi i k n / size), k = 0 .. size / 2. No scaling. `samples`
  /// holds size values and `bins` bin_count() values. The two must not overlap.
  void forward(std::span<const float> samples, std::span<std::complex<float>> bins) noexcept;

  /// The inverse of forward(), multiplied by `size`. Divide by size_samples() to get the samples
  /// back.
  void inverse(std::span<const std::complex<float>> bins, std::span<float> samples) noexcept;

 private:
  struct Plans;
  int size_;
  std::unique_ptr<Plans> plans_;
};

}  // namespace brink::base
