#include "detector/decimator.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace brink::detector {

namespace {

constexpr double kStopDb = 80.0;
constexpr double kKaiserBeta = 0.1102 * (kStopDb - 8.7);

double bessel_i0(double x) {
  double sum = 1.0;
  double term = 1.0;
  for (int k = 1; k < 40; ++k) {
    term *= (x / (2.0 * k)) * (x / (2.0 * k));
    sum += term;
  }
  return sum;
}

/// Taps at odd distances on one side of the centre, by Kaiser's estimate of a filter's length,
/// which is too low for the shortest. Even, for process().
int count_taps(double flat_to) {
  const double transition = 0.5 - flat_to;  // in cycles per input sample
  const double length = 1.0 + (kStopDb - 7.95) / (14.36 * transition);
  return std::max(2 * static_cast<int>(std::ceil((length + 1.0) / 8.0)), 6);
}

/// Taps at odd distances from the centre, one side; each sinc value times the Kaiser window, scaled
/// so that the pass band has gain 1 together with the centre tap of 1/2.
std::vector<float> odd_taps(int count) {
  std::vector<double> side(static_cast<std::size_t>(count));
  double sum = 0.0;
  for (int i = 0; i < count; ++i) {
    const double distance = 2.0 * i + 1.0;
    const double edge = distance / (2.0 * count);
    const double x = std::numbers::pi * distance / 2.0;
    side[static_cast<std::size_t>(i)] = std::sin(x) / (2.0 * x) *
                                        bessel_i0(kKaiserBeta * std::sqrt(1.0 - edge * edge)) /
                                        bessel_i0(kKaiserBeta);
    sum += 2.0 * side[static_cast<std::size_t>(i)];
  }
  std::vector<float> taps(side.size());
  std::transform(side.begin(), side.end(), taps.begin(), [sum](double tap) {
    return static_cast<float>(tap * 0.5 / sum);
  });
  return taps;
}

}  // namespace

Decimator::Decimator(int block_samples, double flat_to)
    : taps_{odd_taps(count_taps(flat_to))},
      history_{2 * taps_.size()},
      even_(history_ + static_cast<std::size_t>(block_samples / 2)),
      odd_(even_.size()),
      output_(static_cast<std::size_t>(block_samples / 2)) {
  assert(block_samples > 0 && block_samples % 2 == 0);
  assert(flat_to > 0.0 && flat_to <= kMostFlatTo);
}

int Decimator::delay_samples() const noexcept {
  return static_cast<int>(history_) - 1;
}

std::span<const float> Decimator::process(std::span<const float> block) noexcept {
  const std::size_t count = output_.size();
  assert(block.size() == 2 * count);
  std::copy(even_.end() - static_cast<std::ptrdiff_t>(history_), even_.end(), even_.begin());
  std::copy(odd_.end() - static_cast<std::ptrdiff_t>(history_), odd_.end(), odd_.begin());
  for (std::size_t i = 0; i < count; ++i) {
    even_[history_ + i] = block[2 * i];
    odd_[history_ + i] = block[2 * i + 1];
  }
  // The newest sample of the window is an even one; the centre lies at an odd one, half the history
  // back.
  const std::size_t taps = taps_.size();
  float* const output = output_.data();
  for (std::size_t i = 0; i < count; ++i) {
    output[i] = 0.5F * odd_[taps + i];
  }
  // Tap by tap over all outputs, so that the compiler can use vector units without reordering sums.
  // Two taps of each side in one pass, as the outputs would else be loaded and stored as often.
  for (std::size_t tap = 0; tap < taps; tap += 2) {
    const float inner = taps_[tap];
    const float outer = taps_[tap + 1];
    const float* const older = even_.data() + taps - tap - 1;
    const float* const newer = even_.data() + taps + tap + 1;
    for (std::size_t i = 0; i < count; ++i) {
      output[i] += inner * (older[i + 1] + newer[i]) + outer * (older[i] + newer[i + 1]);
    }
  }
  return output_;
}

}  // namespace brink::detector
