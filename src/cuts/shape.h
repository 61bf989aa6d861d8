#pragma once

#include <cstddef>

#include "cuts/slot.h"

namespace brink::cuts {

/// Frequencies on the bilinear transform's scale, with their reciprocals. Single precision, at
/// twice the speed of double. A search needs only the order of settings, and single precision gives
/// it with 0.0001 dB to spare.
struct WarpedAxis {
  const float* t;
  const float* inverse_t;
  std::size_t count;
};

/// One filter, ready to be evaluated at very many frequencies. On the warped scale t the cookbook's
/// digital filters equal their analogue prototypes, which need only a few operations:
///
/// peaking: with c = Q (t0/t - t/t0) and g = A^2 the linear gain, H = (c + iA) / (c + i/A);
/// high-pass: with w = t/t0 and Q = sqrt(1/2), H = -w^2 / (1 - w^2 + i w/Q).
class Shape {
 public:
  /// A filter that is off.
  Shape() = default;
  /// The filter of `choice` on the lists of `slot`. It is off when the choice's depth is the first.
  Shape(const Slot& slot, const Choice& choice, double sample_rate_hz) noexcept;

  /// A peaking filter centred at `centre_t` on the warped scale; depth_db < 0.
  [[nodiscard]] static Shape peaking(double centre_t, double q, double depth_db) noexcept;

  [[nodiscard]] bool is_on() const noexcept { return is_on_; }

  /// out = in * (now / was): changes a filter in one pass. The arrays may be the same.
  static void change(const Shape& was,
                     const Shape& now,
                     const WarpedAxis& axis,
                     const float* in_re,
                     const float* in_im,
                     float* out_re,
                     float* out_im) noexcept;

  /// Multiplies or divides complex values by the response, in place.
  void multiply(const WarpedAxis& axis, float* re, float* im) const noexcept;
  void divide(const WarpedAxis& axis, float* re, float* im) const noexcept;
  /// The same for squared magnitudes.
  void multiply_power(const WarpedAxis& axis, float* power) const noexcept;
  void divide_power(const WarpedAxis& axis, float* power) const noexcept;

 private:
  Slot::Kind kind_ = Slot::Kind::kPeaking;
  bool is_on_ = false;
  float up_ = 0.0F;    // peaking: Q t0; high-pass: 1 / t0
  float down_ = 0.0F;  // peaking: Q / t0
  float gain_ = 1.0F;  // A^2
  float bend_ = 0.0F;  // A - 1/A
};

}  // namespace brink::cuts
