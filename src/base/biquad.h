#pragma once

#include <complex>
#include <span>

namespace brink::base {

/// Second-order filter section, coefficients divided by a0:
/// H(z) = (b0 + b1 z^-1 + b2 z^-2) / (1 + a1 z^-1 + a2 z^-2). The default passes all unchanged.
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

/// Runs one section over samples: transposed direct form II, in double precision, so that a narrow
/// filter at a low frequency keeps its shape. No delay beyond the filter's own; never allocates.
/// A non-finite sample stays in the state until reset(): keep them out. [any]
class BiquadRunner {
 public:
  explicit BiquadRunner(const Biquad& section = {}) noexcept : section_(section) {}

  [[nodiscard]] double step(double sample) noexcept {
    const double out = section_.b0 * sample + delay1_;
    delay1_ = section_.b1 * sample - section_.a1 * out + delay2_;
    delay2_ = section_.b2 * sample - section_.a2 * out;
    return out;
  }

  /// In place.
  void run(std::span<float> samples) noexcept;

  /// Changes the filter and keeps its state: the output has no gap, though it may bend.
  void set_section(const Biquad& section) noexcept { section_ = section; }

  void reset() noexcept { delay1_ = delay2_ = 0.0; }

 private:
  Biquad section_;
  double delay1_ = 0.0;
  double delay2_ = 0.0;
};

}  // namespace brink::base
