#pragma once

#include <complex>
#include <memory>
#include <span>

namespace brink::base {

/// Discrete Fourier transform of real samples of any even number, with KissFFT (single precision).
/// VectorFft is faster where the length can be chosen. Constructing allocates; transforming does
/// not. Use one instance per thread, since it owns scratch memory. [any]
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

 private:
  struct Plan;
  int size_;
  std::unique_ptr<Plan> plan_;
};

}  // namespace brink::base
