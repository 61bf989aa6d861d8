#include "base/fft.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>
#include <string>

#include "base/error.h"
#include "base/fft_passes.h"

namespace brink::base {

namespace {

bool is_fast_size(int size) noexcept {
  for (const int factor : {2, 3, 5}) {
    while (size % factor == 0) {
      size /= factor;
    }
  }
  return size == 1;
}

}  // namespace

// Treats the real samples as complex ones of half the length: even samples are the real parts, odd
// ones the imaginary parts. Symmetry separates the two half-length spectra, and one more butterfly
// joins them.
struct Fft::Plans {
  explicit Plans(std::size_t half) : passes{half}, one{half}, other{half}, half_twiddles{half} {
    for (std::size_t k = 0; k < half; ++k) {
      const double angle = -std::numbers::pi * static_cast<double>(k) / static_cast<double>(half);
      half_twiddles.real[k] = static_cast<float>(0.5 * std::cos(angle));
      half_twiddles.imag[k] = static_cast<float>(0.5 * std::sin(angle));
    }
  }

  FftPasses passes;
  Parts one, other;
  Parts half_twiddles;  // those of the whole length, times 1/2
};

int fast_fft_size(int least_samples) noexcept {
  int size = std::max(2, least_samples + least_samples % 2);
  while (!is_fast_size(size)) {
    size += 2;
  }
  return size;
}

Fft::Fft(int size_samples) : size_{size_samples} {
  if (size_samples < 2 || size_samples % 2 != 0) {
    throw Error{"a transform takes an even number of samples, at least 2; got " +
                std::to_string(size_samples)};
  }
  plans_ = std::make_unique<Plans>(static_cast<std::size_t>(size_samples) / 2);
}

Fft::~Fft() = default;
Fft::Fft(Fft&&) noexcept = default;
Fft& Fft::operator=(Fft&&) noexcept = default;

// The pointers are said to be apart, so that the compiler can use vector units.

void Fft::forward(std::span<const float> samples, std::span<std::complex<float>> bins) noexcept {
  assert(samples.size() == static_cast<std::size_t>(size_) &&
         bins.size() == static_cast<std::size_t>(bin_count()));
  const std::size_t half = samples.size() / 2;
  const float* __restrict in = samples.data();
  float* __restrict packed_real = plans_->one.real.data();
  float* __restrict packed_imag = plans_->one.imag.data();
  for (std::size_t n = 0; n < half; ++n) {
    packed_real[n] = in[2 * n];
    packed_imag[n] = in[2 * n + 1];
  }
  const Parts& turned = plans_->passes.transform(plans_->one, plans_->other);
  const float* __restrict real = turned.real.data();
  const float* __restrict imag = turned.imag.data();
  const float* __restrict w_real = plans_->half_twiddles.real.data();
  const float* __restrict w_imag = plans_->half_twiddles.imag.data();
  // A complex number is its two parts one after the other ([complex.numbers]).
  float* __restrict out = reinterpret_cast<float*>(bins.data());
  for (std::size_t k = 1; k < half; ++k) {
    const float even_real = 0.5F * (real[k] + real[half - k]);
    const float even_imag = 0.5F * (imag[k] - imag[half - k]);
    const float odd_real = imag[k] + imag[half - k];
    const float odd_imag = real[half - k] - real[k];
    out[2 * k] = even_real + (w_real[k] * odd_real - w_imag[k] * odd_imag);
    out[2 * k + 1] = even_imag + (w_real[k] * odd_imag + w_imag[k] * odd_real);
  }
  bins[0] = real[0] + imag[0];
  bins[half] = real[0] - imag[0];
}

void Fft::inverse(std::span<const std::complex<float>> bins, std::span<float> samples) noexcept {
  assert(samples.size() == static_cast<std::size_t>(size_) &&
         bins.size() == static_cast<std::size_t>(bin_count()));
  const std::size_t half = samples.size() / 2;
  const Parts& w = plans_->half_twiddles;
  // The parts are exchanged, here and below: so the transform becomes its inverse.
  for (std::size_t k = 0; k < half; ++k) {
    const std::complex<float> mirror = std::conj(bins[half - k]);
    const std::complex<float> even = bins[k] + mirror;
    const std::complex<float> apart = 2.0F * (bins[k] - mirror);
    const float odd_real = w.real[k] * apart.real() + w.imag[k] * apart.imag();
    const float odd_imag = w.real[k] * apart.imag() - w.imag[k] * apart.real();
    plans_->one.imag[k] = even.real() - odd_imag;
    plans_->one.real[k] = even.imag() + odd_real;
  }
  const Parts& turned = plans_->passes.transform(plans_->one, plans_->other);
  for (std::size_t n = 0; n < half; ++n) {
    samples[2 * n] = turned.imag[n];
    samples[2 * n + 1] = turned.real[n];
  }
}

}  // namespace brink::base
