#include "detector/forecast/whitener.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/toeplitz.h"
#include "base/window.h"

namespace brink::detector {
namespace {

constexpr double kHopS = 0.015;
/// So that a pause after loud speech does not become loud: much shorter, and what decays would seem
/// to stand; much longer, and only the loudest moments count.
constexpr double kReleaseS = 0.3;
constexpr double kSilenceLin = 1e-7;  // -140 dBFS: quieter is no programme
constexpr double kShortestPeriodS = 0.0025;
constexpr double kLongestPeriodS = 0.015;
constexpr double kLeastPitch = 0.35;  // correlation, over what this lag always has
constexpr double kAlwaysS = 10.0;     // how long "always" is
/// Of noise that is added to the correlation, so that the prediction of a pure tone is not perfect.
constexpr double kNoiseShare = 1e-4;

}  // namespace

Whitener::Whitener(double sample_rate_hz)
    : hop_(static_cast<std::size_t>(std::lround(kHopS * sample_rate_hz))),
      order_(static_cast<std::size_t>(std::lround(kColourS * sample_rate_hz))),
      shortest_(static_cast<std::size_t>(std::lround(kShortestPeriodS * sample_rate_hz))),
      longest_(static_cast<std::size_t>(std::lround(kLongestPeriodS * sample_rate_hz))),
      release_(std::exp(-kHopS / kReleaseS)),
      samples_(order_ + longest_ + 2 * hop_),
      windowed_(2 * hop_),
      correlation_(order_ + 1),
      predictor_(order_),
      scratch_(order_),
      always_(longest_ + 1 - shortest_),
      error_(longest_ + 2 * hop_),
      sum_(2 * hop_) {
  const auto window = base::hann_window(static_cast<int>(2 * hop_));
  window_.assign(window.begin(), window.end());
}

void Whitener::reset() noexcept {
  std::fill(samples_.begin(), samples_.end(), 0.0);
  std::fill(sum_.begin(), sum_.end(), 0.0);
  std::fill(always_.begin(), always_.end(), 0.0);
  hops_ = 0;
  envelope_ = 0.0;
}

std::span<const double> Whitener::process(std::span<const float> hop) noexcept {
  std::copy(samples_.begin() + static_cast<std::ptrdiff_t>(hop_), samples_.end(), samples_.begin());
  std::copy(hop.begin(), hop.end(), samples_.end() - static_cast<std::ptrdiff_t>(hop_));
  std::copy(sum_.begin() + static_cast<std::ptrdiff_t>(hop_), sum_.end(), sum_.begin());
  std::fill(sum_.end() - static_cast<std::ptrdiff_t>(hop_), sum_.end(), 0.0);
  predict();
  take_out_pitch();
  double power = 0.0;
  double weight = 0.0;
  double* const now = error_.data() + longest_;
  for (std::size_t n = 0; n < window_.size(); ++n) {
    now[n] *= window_[n];
    power += now[n] * now[n];
    weight += window_[n] * window_[n];
  }
  envelope_ = std::max(std::sqrt(power / weight), envelope_ * release_);
  if (envelope_ > kSilenceLin) {
    for (std::size_t n = 0; n < sum_.size(); ++n) {
      sum_[n] += now[n] / envelope_;
    }
  }
  return std::span(sum_).first(hop_);
}

/// Fills error_.
void Whitener::predict() noexcept {
  const double* const now = samples_.data() + order_ + longest_;
  for (std::size_t n = 0; n < windowed_.size(); ++n) {
    windowed_[n] = now[n] * window_[n];
  }
  for (std::size_t lag = 0; lag <= order_; ++lag) {
    double sum = 0.0;
    for (std::size_t n = lag; n < windowed_.size(); ++n) {
      sum += windowed_[n] * windowed_[n - lag];
    }
    correlation_[lag] = sum;
  }
  correlation_[0] *= 1.0 + kNoiseShare;
  // In silence the predictor is zero: the samples are their own error.
  static_cast<void>(base::solve_toeplitz(std::span(correlation_).first(order_),
                                         std::span(correlation_).last(order_),
                                         predictor_,
                                         scratch_));
  const double* const first = samples_.data() + order_;
  for (std::size_t n = 0; n < error_.size(); ++n) {
    double predicted = 0.0;
    for (std::size_t k = 0; k < order_; ++k) {
      predicted += predictor_[k] *
                   first[static_cast<std::ptrdiff_t>(n) - 1 - static_cast<std::ptrdiff_t>(k)];
    }
    error_[n] = first[n] - predicted;
  }
}

/// The pitch of a voice, as far as it is more than what the loop always brings back after the same
/// time.
void Whitener::take_out_pitch() noexcept {
  double* const now = error_.data() + longest_;
  const std::size_t count = window_.size();
  const double own = std::inner_product(now, now + count, now, 0.0);
  ++hops_;
  const double weight = std::max(1.0 / static_cast<double>(hops_), kHopS / kAlwaysS);
  double most = 0.0;
  double factor = 0.0;
  std::size_t period = 0;
  for (std::size_t lag = shortest_; lag <= longest_; ++lag) {
    const double* const past = now - lag;
    const double cross = std::inner_product(now, now + count, past, 0.0);
    const double power = std::inner_product(past, past + count, past, 0.0);
    const double alike = power > 0.0 && own > 0.0 ? cross / std::sqrt(own * power) : 0.0;
    double& always = always_[lag - shortest_];
    const double more = alike - always;
    always += more * weight;
    if (more > most) {
      most = more;
      factor = more * std::sqrt(own / power);
      period = lag;
    }
  }
  has_pitch_ = most >= kLeastPitch;
  if (!has_pitch_) {
    return;
  }
  factor = std::min(factor, 1.0);
  for (std::size_t n = count; n-- > 0;) {
    now[n] -= factor * now[static_cast<std::ptrdiff_t>(n) - static_cast<std::ptrdiff_t>(period)];
  }
}

}  // namespace brink::detector
