#include "base/double_fft.h"

#include <cassert>
#include <kissfft/kissfft.hh>
#include <numbers>
#include <string>

#include "base/error.h"

namespace brink::base {

namespace {

// With other factors KissFFT would use its general butterfly, which allocates on its first use.
bool is_fast_size(int size) {
  if (size < 4 || size % 4 != 0) {
    return false;
  }
  for (const int factor : {2, 3, 5}) {
    while (size % factor == 0) {
      size /= factor;
    }
  }
  return size == 1;
}

std::complex<double> product(std::complex<double> a, std::complex<double> b) noexcept {
  return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

}  // namespace

// Treats the real samples as complex ones of half the length: even samples are the real parts, odd
// ones the imaginary parts. Symmetry separates the two half-length spectra, and one more butterfly
// joins them.
struct DoubleFft::Plans {
  explicit Plans(int size)
      : forward{static_cast<std::size_t>(size) / 2, false},
        inverse{static_cast<std::size_t>(size) / 2, true},
        packed(static_cast<std::size_t>(size) / 2),
        turned(static_cast<std::size_t>(size) / 2),
        twiddle(static_cast<std::size_t>(size) / 2) {
    for (std::size_t k = 0; k < twiddle.size(); ++k) {
      twiddle[k] = std::polar(1.0, -2.0 * std::numbers::pi * static_cast<double>(k) / size);
    }
  }

  kissfft<double> forward;
  kissfft<double> inverse;
  std::vector<std::complex<double>> packed;
  std::vector<std::complex<double>> turned;
  std::vector<std::complex<double>> twiddle;
};

DoubleFft::DoubleFft(int size_samples) : size_{size_samples} {
  if (!is_fast_size(size_samples)) {
    throw Error{
        "a double-precision transform takes a multiple of 4 made of factors 2, 3 and 5; got " +
        std::to_string(size_samples)};
  }
  plans_ = std::make_unique<Plans>(size_samples);
}

DoubleFft::~DoubleFft() = default;
DoubleFft::DoubleFft(DoubleFft&&) noexcept = default;
DoubleFft& DoubleFft::operator=(DoubleFft&&) noexcept = default;

void DoubleFft::forward(std::span<const double> samples,
                        std::span<std::complex<double>> bins) noexcept {
  assert(samples.size() == static_cast<std::size_t>(size_) &&
         bins.size() == static_cast<std::size_t>(bin_count()));
  const std::size_t half = samples.size() / 2;
  auto& packed = plans_->packed;
  auto& turned = plans_->turned;
  for (std::size_t n = 0; n < half; ++n) {
    packed[n] = {samples[2 * n], samples[2 * n + 1]};
  }
  plans_->forward.transform(packed.data(), turned.data());
  bins[0] = turned[0].real() + turned[0].imag();
  bins[half] = turned[0].real() - turned[0].imag();
  for (std::size_t k = 1; k < half; ++k) {
    const std::complex<double> mirror = std::conj(turned[half - k]);
    const std::complex<double> even = 0.5 * (turned[k] + mirror);
    const std::complex<double> difference = 0.5 * (turned[k] - mirror);
    const std::complex<double> odd{difference.imag(), -difference.real()};
    bins[k] = even + product(plans_->twiddle[k], odd);
  }
}

void DoubleFft::inverse(std::span<const std::complex<double>> bins,
                        std::span<double> samples) noexcept {
  assert(samples.size() == static_cast<std::size_t>(size_) &&
         bins.size() == static_cast<std::size_t>(bin_count()));
  const std::size_t half = samples.size() / 2;
  auto& packed = plans_->packed;
  auto& turned = plans_->turned;
  for (std::size_t k = 0; k < half; ++k) {
    const std::complex<double> mirror = std::conj(bins[half - k]);
    const std::complex<double> even = bins[k] + mirror;
    const std::complex<double> odd = product(bins[k] - mirror, std::conj(plans_->twiddle[k]));
    packed[k] = {even.real() - odd.imag(), even.imag() + odd.real()};
  }
  plans_->inverse.transform(packed.data(), turned.data());
  for (std::size_t n = 0; n < half; ++n) {
    samples[2 * n] = turned[n].real();
    samples[2 * n + 1] = turned[n].imag();
  }
}

}  // namespace brink::base
