#include "detector/decimator.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace brink::detector {

namespace {

constexpr int kHalfTaps = 13;            // nonzero taps on each side of the centre
constexpr double kKaiserBeta = 7.857;    // 80 dB stop band: 0.1102 (80 - 8.7)
constexpr int kHistory = 2 * kHalfTaps;  // samples of each phase that a block still needs

double bessel_i0(double x) {
  double sum = 1.0;
  double term = 1.0;
  for (int k = 1; k < 40; ++k) {
    term *= (x / (2.0 * k)) * (x / (2.0 * k));
    sum += term;
  }
  return sum;
}

/// Taps at odd distances from the centre, symmetric; each sinc value times the Kaiser window,
/// scaled so that the pass band has gain 1 together with the centre tap of 1/2.
std::vector<float> odd_taps() {
  std::vector<double> half(kHalfTaps);
  double sum = 0.0;
  for (int i = 0; i < kHalfTaps; ++i) {
    const double distance = 2.0 * i + 1.0;
    const double edge = distance / (2.0 * kHalfTaps);
    const double x = std::numbers::pi * distance / 2.0;
    half[static_cast<std::size_t>(i)] = std::sin(x) / (2.0 * x) *
                                        bessel_i0(kKaiserBeta * std::sqrt(1.0 - edge * edge)) /
                                        bessel_i0(kKaiserBeta);
    sum += 2.0 * half[static_cast<std::size_t>(i)];
  }
  constexpr std::size_t kHalf = kHalfTaps;
  std::vector<float> taps(2 * kHalf);
  for (std::size_t i = 0; i < kHalf; ++i) {
    const auto tap = static_cast<float>(half[i] * 0.5 / sum);
    taps[kHalf + i] = tap;
    taps[kHalf - 1 - i] = tap;
  }
  return taps;
}

}  // namespace

Decimator::Decimator(int block_samples)
    : taps_{odd_taps()},
      even_(static_cast<std::size_t>(kHistory + block_samples / 2)),
      odd_(static_cast<std::size_t>(kHistory + block_samples / 2)),
      output_(static_cast<std::size_t>(block_samples / 2)) {
  assert(block_samples > 0 && block_samples % 2 == 0);
}

int Decimator::delay_samples() noexcept {
  return 2 * kHalfTaps - 1;
}

std::span<const float> Decimator::process(std::span<const float> block) noexcept {
  const std::size_t count = output_.size();
  assert(block.size() == 2 * count);
  std::copy(even_.end() - kHistory, even_.end(), even_.begin());
  std::copy(odd_.end() - kHistory, odd_.end(), odd_.begin());
  for (std::size_t i = 0; i < count; ++i) {
    even_[kHistory + i] = block[2 * i];
    odd_[kHistory + i] = block[2 * i + 1];
  }
  // The newest sample of the window is an even one; the centre lies at an odd one, kHalfTaps back.
  for (std::size_t i = 0; i < count; ++i) {
    output_[i] = 0.5F * odd_[kHistory + i - kHalfTaps];
  }
  // Tap by tap over all outputs, so that the compiler can use vector units without reordering sums.
  for (std::size_t tap = 0; tap < taps_.size(); ++tap) {
    const float weight = taps_[tap];
    const float* input = even_.data() + kHistory - taps_.size() + 1 + tap;
    for (std::size_t i = 0; i < count; ++i) {
      output_[i] += weight * input[i];
    }
  }
  return output_;
}

}  // namespace brink::detector
