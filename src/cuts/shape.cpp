#include "cuts/shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace brink::cuts {
namespace {

struct Factor {
  float re;
  float im;
};

/// The loops below have no branches and no calls, so that the compiler can make vector code of
/// them.
template <typename FactorAt>
void multiply_by(const WarpedAxis& axis, float* re, float* im, FactorAt factor_at) noexcept {
  for (std::size_t k = 0; k < axis.count; ++k) {
    const Factor h = factor_at(axis.t[k], axis.inverse_t[k]);
    const float old_re = re[k];
    re[k] = old_re * h.re - im[k] * h.im;
    im[k] = old_re * h.im + im[k] * h.re;
  }
}

template <typename FactorAt>
void multiply_power_by(const WarpedAxis& axis, float* power, FactorAt factor_at) noexcept {
  for (std::size_t k = 0; k < axis.count; ++k) {
    power[k] *= factor_at(axis.t[k], axis.inverse_t[k]);
  }
}

}  // namespace

Shape::Shape(const Slot& slot, const Choice& choice, double sample_rate_hz) noexcept {
  if (choice.depth == 0) {
    return;
  }
  const double t0 = warp(slot.centres_hz[static_cast<std::size_t>(choice.centre)], sample_rate_hz);
  if (slot.kind == Slot::Kind::kPeaking) {
    *this = peaking(t0,
                    slot.qs[static_cast<std::size_t>(choice.q)],
                    slot.depths_db[static_cast<std::size_t>(choice.depth)]);
    return;
  }
  kind_ = Slot::Kind::kHighPass;
  is_on_ = true;
  up_ = static_cast<float>(1.0 / t0);
}

Shape Shape::peaking(double centre_t, double q, double depth_db) noexcept {
  const double a = std::pow(10.0, depth_db / 40.0);
  Shape shape;
  shape.is_on_ = true;
  shape.up_ = static_cast<float>(q * centre_t);
  shape.down_ = static_cast<float>(q / centre_t);
  shape.gain_ = static_cast<float>(a * a);
  shape.bend_ = static_cast<float>(a - 1.0 / a);
  return shape;
}

void Shape::change(const Shape& was,
                   const Shape& now,
                   const WarpedAxis& axis,
                   const float* in_re,
                   const float* in_im,
                   float* out_re,
                   float* out_im) noexcept {
  if (was.kind_ == Slot::Kind::kHighPass || now.kind_ == Slot::Kind::kHighPass) {
    std::copy_n(in_re, axis.count, out_re);
    std::copy_n(in_im, axis.count, out_im);
    now.multiply(axis, out_re, out_im);
    was.divide(axis, out_re, out_im);
    return;
  }
  // The factors of multiply() and divide(), with one division for both. A filter that is off has c
  // = 0, A = 1.
  const float was_gain = was.gain_;
  const float was_bend = was.bend_;
  const float was_up = was.up_;
  const float was_down = was.down_;
  const float now_floor = 1.0F / now.gain_;
  const float now_bend = now.bend_;
  const float now_up = now.up_;
  const float now_down = now.down_;
  for (std::size_t k = 0; k < axis.count; ++k) {
    const float c = was_up * axis.inverse_t[k] - was_down * axis.t[k];
    const float d = now_up * axis.inverse_t[k] - now_down * axis.t[k];
    const float c2 = c * c;
    const float d2 = d * d;
    const float scale = 1.0F / ((c2 + was_gain) * (d2 + now_floor));
    const float was_im = -c * was_bend;
    const float now_im = d * now_bend;
    const float re = scale * ((c2 + 1.0F) * (d2 + 1.0F) - was_im * now_im);
    const float im = scale * ((c2 + 1.0F) * now_im + was_im * (d2 + 1.0F));
    out_re[k] = in_re[k] * re - in_im[k] * im;
    out_im[k] = in_re[k] * im + in_im[k] * re;
  }
}

void Shape::multiply(const WarpedAxis& axis, float* re, float* im) const noexcept {
  if (!is_on_) {
    return;
  }
  if (kind_ == Slot::Kind::kHighPass) {
    multiply_by(axis, re, im, [up = up_](float t, float) {
      const float w = up * t;
      const float w2 = w * w;
      const float scale = w2 / (1.0F + w2 * w2);
      return Factor{-scale * (1.0F - w2), scale * w * std::numbers::sqrt2_v<float>};
    });
    return;
  }
  // (c + iA) / (c + i/A) = (c^2 + 1 + i c (A - 1/A)) / (c^2 + 1/A^2)
  multiply_by(
      axis,
      re,
      im,
      [up = up_, down = down_, bend = bend_, floor = 1.0F / gain_](float t, float inverse_t) {
        const float c = up * inverse_t - down * t;
        const float c2 = c * c;
        const float scale = 1.0F / (c2 + floor);
        return Factor{(c2 + 1.0F) * scale, c * bend * scale};
      });
}

void Shape::divide(const WarpedAxis& axis, float* re, float* im) const noexcept {
  if (!is_on_) {
    return;
  }
  if (kind_ == Slot::Kind::kHighPass) {
    multiply_by(axis, re, im, [up = up_](float t, float) {
      const float w = up * t;
      const float w2 = w * w;
      return Factor{-(1.0F - w2) / w2, -std::numbers::sqrt2_v<float> / w};
    });
    return;
  }
  multiply_by(
      axis, re, im, [up = up_, down = down_, bend = bend_, gain = gain_](float t, float inverse_t) {
        const float c = up * inverse_t - down * t;
        const float c2 = c * c;
        const float scale = 1.0F / (c2 + gain);
        return Factor{(c2 + 1.0F) * scale, -c * bend * scale};
      });
}

void Shape::multiply_power(const WarpedAxis& axis, float* power) const noexcept {
  if (!is_on_) {
    return;
  }
  if (kind_ == Slot::Kind::kHighPass) {
    multiply_power_by(axis, power, [up = up_](float t, float) {
      const float w2 = up * up * t * t;
      return w2 * w2 / (1.0F + w2 * w2);
    });
    return;
  }
  multiply_power_by(
      axis,
      power,
      [up = up_, down = down_, gain = gain_, floor = 1.0F / gain_](float t, float inverse_t) {
        const float c = up * inverse_t - down * t;
        return (c * c + gain) / (c * c + floor);
      });
}

void Shape::divide_power(const WarpedAxis& axis, float* power) const noexcept {
  if (!is_on_) {
    return;
  }
  if (kind_ == Slot::Kind::kHighPass) {
    multiply_power_by(axis, power, [up = up_](float t, float) {
      const float w2 = up * up * t * t;
      return (1.0F + w2 * w2) / (w2 * w2);
    });
    return;
  }
  multiply_power_by(
      axis,
      power,
      [up = up_, down = down_, gain = gain_, floor = 1.0F / gain_](float t, float inverse_t) {
        const float c = up * inverse_t - down * t;
        return (c * c + floor) / (c * c + gain);
      });
}

}  // namespace brink::cuts
