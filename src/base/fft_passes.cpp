#include "base/fft_passes.h"

#include <array>
#include <cmath>
#include <cstring>
#include <numbers>
#include <utility>

namespace brink::base {

namespace {

using std::size_t;
using Pass = FftPasses::Pass;

/// Four numbers that a processor works at side by side.
using Four = float __attribute__((vector_size(16)));

/// Complex numbers: one (T is float), or four.
template <typename T>
struct Number {
  T real, imag;

  friend Number operator+(Number a, Number b) noexcept {
    return {a.real + b.real, a.imag + b.imag};
  }

  friend Number operator-(Number a, Number b) noexcept {
    return {a.real - b.real, a.imag - b.imag};
  }

  friend Number operator*(float a, Number b) noexcept { return {a * b.real, a * b.imag}; }

  friend Number operator*(Number a, Number b) noexcept {
    return {a.real * b.real - a.imag * b.imag, a.real * b.imag + a.imag * b.real};
  }
};

/// Times -i.
template <typename T>
Number<T> turned(Number<T> a) noexcept {
  return {a.imag, -a.real};
}

template <typename T>
T load(const float* from) noexcept {
  T value;
  std::memcpy(&value, from, sizeof value);
  return value;
}

template <typename T>
void store(T value, float* to) noexcept {
  std::memcpy(to, &value, sizeof value);
}

// Transforms of 2 to 5 numbers, written out.

template <typename T>
void small_transform(std::array<Number<T>, 2>& x) noexcept {
  const Number<T> first = x[0];
  x[0] = first + x[1];
  x[1] = first - x[1];
}

template <typename T>
void small_transform(std::array<Number<T>, 3>& x) noexcept {
  constexpr float kSine = std::numbers::sqrt3_v<float> / 2.0F;
  const Number<T> sum = x[1] + x[2];
  const Number<T> side = turned(kSine * (x[1] - x[2]));
  const Number<T> middle = x[0] - 0.5F * sum;
  x = {x[0] + sum, middle + side, middle - side};
}

template <typename T>
void small_transform(std::array<Number<T>, 4>& x) noexcept {
  const Number<T> a = x[0] + x[2];
  const Number<T> b = x[0] - x[2];
  const Number<T> c = x[1] + x[3];
  const Number<T> d = turned(x[1] - x[3]);
  x = {a + c, b + d, a - c, b - d};
}

template <typename T>
void small_transform(std::array<Number<T>, 5>& x) noexcept {
  constexpr float kCosine1 = 0.309016994F;  // of a fifth of a turn, and of two
  constexpr float kCosine2 = -0.809016994F;
  constexpr float kSine1 = 0.951056516F;
  constexpr float kSine2 = 0.587785252F;
  const Number<T> near = x[1] + x[4];
  const Number<T> far = x[2] + x[3];
  const Number<T> near_side = x[1] - x[4];
  const Number<T> far_side = x[2] - x[3];
  const Number<T> first = x[0] + kCosine1 * near + kCosine2 * far;
  const Number<T> second = x[0] + kCosine2 * near + kCosine1 * far;
  const Number<T> first_side = turned(kSine1 * near_side + kSine2 * far_side);
  const Number<T> second_side = turned(kSine2 * near_side - kSine1 * far_side);
  x = {x[0] + near + far,
       first + first_side,
       second + second_side,
       second - second_side,
       first - first_side};
}

/// Writes the four numbers of each of `parts` apart by four: 0 4 8 12, 1 5 9 13 and so on.
void store_crosswise(Four a, Four b, Four c, Four d, float* to) noexcept {
  const Four ab_low = __builtin_shufflevector(a, b, 0, 4, 1, 5);
  const Four ab_high = __builtin_shufflevector(a, b, 2, 6, 3, 7);
  const Four cd_low = __builtin_shufflevector(c, d, 0, 4, 1, 5);
  const Four cd_high = __builtin_shufflevector(c, d, 2, 6, 3, 7);
  store(__builtin_shufflevector(ab_low, cd_low, 0, 1, 4, 5), to);
  store(__builtin_shufflevector(ab_low, cd_low, 2, 3, 6, 7), to + 4);
  store(__builtin_shufflevector(ab_high, cd_high, 0, 1, 4, 5), to + 8);
  store(__builtin_shufflevector(ab_high, cd_high, 2, 3, 6, 7), to + 12);
}

/// The first pass, where it takes groups of four, and four groups at a time.
void first_pass_of_four(const Pass& pass, const Parts& from, Parts& to) noexcept {
  const size_t count = pass.count;
  for (size_t j = 0; j < count; j += 4) {
    std::array<Number<Four>, 4> x;
    for (size_t k = 0; k < 4; ++k) {
      x[k] = {load<Four>(&from.real[j + k * count]), load<Four>(&from.imag[j + k * count])};
    }
    small_transform(x);
    for (size_t k = 1; k < 4; ++k) {
      const size_t at = k * count + j;
      x[k] = x[k] *
             Number<Four>{load<Four>(&pass.twiddles.real[at]), load<Four>(&pass.twiddles.imag[at])};
    }
    store_crosswise(x[0].real, x[1].real, x[2].real, x[3].real, &to.real[4 * j]);
    store_crosswise(x[0].imag, x[1].imag, x[2].imag, x[3].imag, &to.imag[4 * j]);
  }
}

/// T: how many numbers of the stride at a time.
template <size_t kRadix, typename T>
void any_pass(const Pass& pass, const Parts& from, Parts& to) noexcept {
  constexpr size_t kStep = sizeof(T) / sizeof(float);
  const size_t count = pass.count;
  const size_t stride = pass.stride;
  for (size_t j = 0; j < count; ++j) {
    std::array<Number<T>, kRadix> w;
    for (size_t k = 1; k < kRadix; ++k) {
      const size_t at = k * count + j;
      w[k] = {T{} + pass.twiddles.real[at], T{} + pass.twiddles.imag[at]};
    }
    const float* const in_real = &from.real[j * stride];
    const float* const in_imag = &from.imag[j * stride];
    float* const out_real = &to.real[kRadix * j * stride];
    float* const out_imag = &to.imag[kRadix * j * stride];
    const size_t apart = count * stride;
    for (size_t q = 0; q < stride; q += kStep) {
      std::array<Number<T>, kRadix> x;
      for (size_t k = 0; k < kRadix; ++k) {
        x[k] = {load<T>(in_real + q + k * apart), load<T>(in_imag + q + k * apart)};
      }
      small_transform(x);
      for (size_t k = 0; k < kRadix; ++k) {
        const Number<T> y = k == 0 ? x[k] : w[k] * x[k];
        store(y.real, out_real + q + k * stride);
        store(y.imag, out_imag + q + k * stride);
      }
    }
  }
}

/// A radix for which nothing is written out: slow.
void slow_pass(const Pass& pass, const Parts& from, Parts& to) noexcept {
  const size_t radix = pass.radix;
  for (size_t at = 0; at < pass.count * pass.stride; ++at) {
    const size_t j = at / pass.stride;
    const size_t q = at % pass.stride;
    for (size_t k = 0; k < radix; ++k) {
      Number<float> sum{};
      for (size_t l = 0; l < radix; ++l) {
        const size_t in = at + l * pass.count * pass.stride;
        const size_t turn = k * l % radix;
        sum = sum + Number<float>{pass.roots.real[turn], pass.roots.imag[turn]} *
                        Number<float>{from.real[in], from.imag[in]};
      }
      const size_t twiddle = k * pass.count + j;
      const Number<float> y =
          Number<float>{pass.twiddles.real[twiddle], pass.twiddles.imag[twiddle]} * sum;
      const size_t out = q + (radix * j + k) * pass.stride;
      to.real[out] = y.real;
      to.imag[out] = y.imag;
    }
  }
}

template <size_t kRadix>
void run(const Pass& pass, const Parts& from, Parts& to) noexcept {
  if (pass.stride % 4 == 0) {
    any_pass<kRadix, Four>(pass, from, to);
  } else {
    any_pass<kRadix, float>(pass, from, to);
  }
}

void run(const Pass& pass, const Parts& from, Parts& to) noexcept {
  if (pass.radix == 4 && pass.stride == 1 && pass.count % 4 == 0) {
    first_pass_of_four(pass, from, to);
    return;
  }
  switch (pass.radix) {
    case 2:
      return run<2>(pass, from, to);
    case 3:
      return run<3>(pass, from, to);
    case 4:
      return run<4>(pass, from, to);
    case 5:
      return run<5>(pass, from, to);
    default:
      return slow_pass(pass, from, to);
  }
}

/// exp(-2 pi i j k / (radix count)).
Parts make_twiddles(size_t radix, size_t count) {
  Parts twiddles{radix * count};
  for (size_t k = 0; k < radix; ++k) {
    for (size_t j = 0; j < count; ++j) {
      const double angle =
          -2.0 * std::numbers::pi * static_cast<double>(j * k) / static_cast<double>(radix * count);
      twiddles.real[k * count + j] = static_cast<float>(std::cos(angle));
      twiddles.imag[k * count + j] = static_cast<float>(std::sin(angle));
    }
  }
  return twiddles;
}

Parts make_roots(size_t radix) {
  Parts roots{radix};
  for (size_t k = 0; k < radix; ++k) {
    const double angle =
        -2.0 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(radix);
    roots.real[k] = static_cast<float>(std::cos(angle));
    roots.imag[k] = static_cast<float>(std::sin(angle));
  }
  return roots;
}

}  // namespace

FftPasses::FftPasses(size_t size) {
  size_t stride = 1;
  const auto divide_by = [&](size_t radix) {
    while (size % radix == 0) {
      size /= radix;
      passes_.push_back({radix, size, stride, make_twiddles(radix, size), make_roots(radix)});
      stride *= radix;
    }
    return size;
  };
  size_t rest = size;
  for (const size_t radix : {4U, 5U, 3U, 2U}) {
    rest = divide_by(radix);
  }
  for (size_t radix = 7; rest > 1; radix += 2) {
    rest = divide_by(radix);
  }
}

const Parts& FftPasses::transform(Parts& one, Parts& other) const noexcept {
  Parts* from = &one;
  Parts* to = &other;
  for (const Pass& pass : passes_) {
    run(pass, *from, *to);
    std::swap(from, to);
  }
  return *from;
}

}  // namespace brink::base
