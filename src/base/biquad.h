#pragma once

#include <complex>
#include <span>

namespace brink::base {

/// Second-order filter section. The coefficients are divided by a0:
/// H(z) = (b0 + b1 z^-1 + b2 z^-2) / (1 + a1 z^-1 + a2 z^-2). The default leaves every signal
/// unchanged.
struct Biquad {
  double b0 = 1.0;
  double b1 = 0.0;
  double b2 = 0.0;
  double a1 = 0.0;
  double a2 = 0.0;
};

/// Complex response at a frequency, 0 to sample_rate_hz / 2.
[[nodiscard]] std::complex<double> response(const Biquad& section,
                                            double frequency_hz,
                                            double sample_rate_hz) noexcept;

/// Runs one section over samples: transposed direct form II. Double precision, so that a narrow
/// filter at a low frequency keeps its shape. It adds no delay to the filter's own and never
/// allocates. A non-finite sample would stay in the state until reset(), so do not feed any. [any]
class BiquadRunner {
 public:
  explicit BiquadRunner(const Biquad& section = {}) noexcept : section_(section) {}

  [[nodiscard]] double step(double sample) noexcept {
    const double out = section_.b0 * sample + delay1_;
    delay1_ = section_.b1 * sample - section_.a1 * out + delay2_;
    delay2_ = section_.b2 * sample - section_.a2 * out;
    return out;
  }

  /// Filters the samples in place.
  void run(std::span<float> samples) noexcept;

  /// Changes the filter and keeps its state. The output has no gap, but its slope may change
  /// suddenly.
  void set_section(const Biquad& section) noexcept { section_ = section; }

  /// Clears the state, as after construction.
  void reset() noexcept { delay1_ = delay2_ = 0.0; }

 private:
  Biquad section_;
  double delay1_ = 0.0;
  double delay2_ = 0.0;
};

}  // namespace brink::base
