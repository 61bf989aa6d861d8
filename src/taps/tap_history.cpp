#include "taps/tap_history.h"

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

namespace brink::taps {

TapHistory::TapHistory(double sample_rate_hz, std::size_t tap_count, double kept_s)
    : sample_rate_hz_{sample_rate_hz},
      kept_{static_cast<std::size_t>(kept_s * sample_rate_hz) + kMostBlock},
      samples_(tap_count, std::vector<float>(kept_)) {}

void TapHistory::push(std::span<const std::span<const float>> block) noexcept {
  assert(block.size() == samples_.size());
  const std::size_t length = block.empty() ? 0 : block.front().size();
  assert(length <= kMostBlock);
  for (std::size_t tap = 0; tap < samples_.size(); ++tap) {
    auto at = static_cast<std::size_t>(count_) % kept_;
    for (const float sample : block[tap]) {
      samples_[tap][at] = std::isfinite(sample) ? sample : 0.0F;
      at = at + 1 == kept_ ? 0 : at + 1;
    }
  }
  count_ += static_cast<std::int64_t>(length);
}

void TapHistory::push_silence(std::size_t sample_count) noexcept {
  for (std::vector<float>& ring : samples_) {
    auto at = static_cast<std::size_t>(count_) % kept_;
    for (std::size_t n = 0; n < std::min(sample_count, kept_); ++n) {
      ring[at] = 0.0F;
      at = at + 1 == kept_ ? 0 : at + 1;
    }
  }
  count_ += static_cast<std::int64_t>(sample_count);
}

float TapHistory::sample(std::size_t tap, std::int64_t at) const noexcept {
  const bool is_kept = at >= 0 && at < count_ && at >= count_ - static_cast<std::int64_t>(kept_);
  return is_kept ? samples_[tap][static_cast<std::size_t>(at) % kept_] : 0.0F;
}

void TapHistory::tones(double frequency_hz,
                       std::int64_t end,
                       std::size_t length,
                       std::span<std::complex<double>> tones) const noexcept {
  std::fill(tones.begin(), tones.end(), 0.0);
  const double turn = 2.0 * std::numbers::pi;
  const std::complex<double> step = std::polar(1.0, -turn * frequency_hz / sample_rate_hz_);
  const std::complex<double> window_step = std::polar(1.0, turn / static_cast<double>(length));
  std::complex<double> phasor = 1.0;
  std::complex<double> window_phasor = 1.0;
  // Some weights at a time, and then tap after tap, so that each is read in one run.
  Weights weights;
  for (std::size_t from = 0; from < length; from += kWeights) {
    const std::size_t count = std::min(kWeights, length - from);
    for (std::size_t n = 0; n < count; ++n) {
      const std::complex<double> weight = (1.0 - window_phasor.real()) * phasor;
      weights.real[n] = static_cast<float>(weight.real());
      weights.imaginary[n] = static_cast<float>(weight.imag());
      phasor *= step;
      window_phasor *= window_step;
    }
    const std::int64_t begin = end - static_cast<std::int64_t>(length - from);
    for (std::size_t tap = 0; tap < samples_.size(); ++tap) {
      tones[tap] += weighted_sum(tap, begin, count, weights);
    }
  }
  for (std::complex<double>& tone : tones) {
    tone *= 2.0 / static_cast<double>(length);  // the window's mean is 1, and a sine has two sides
  }
}

/// Sum of `count` samples from number `begin` on, each times its weight. What is forgotten or not
/// there yet counts as 0.
std::complex<double> TapHistory::weighted_sum(std::size_t tap,
                                              std::int64_t begin,
                                              std::size_t count,
                                              const Weights& weights) const noexcept {
  using Floats = Eigen::Map<const Eigen::VectorXf>;
  const auto kept = static_cast<std::int64_t>(kept_);
  const std::int64_t end = std::min(begin + static_cast<std::int64_t>(count), count_);
  std::complex<double> sum;
  for (std::int64_t from = std::max({begin, count_ - kept, std::int64_t{0}}); from < end;) {
    const std::int64_t length = std::min(end - from, kept - from % kept);  // up to the ring's end
    const Floats samples(&samples_[tap][static_cast<std::size_t>(from % kept)], length);
    const float real = Floats(weights.real.data() + (from - begin), length).dot(samples);
    const float imaginary = Floats(weights.imaginary.data() + (from - begin), length).dot(samples);
    sum += std::complex<double>(static_cast<double>(real), static_cast<double>(imaginary));
    from += length;
  }
  return sum;
}

}  // namespace brink::taps
