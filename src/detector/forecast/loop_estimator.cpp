#include "detector/forecast/loop_estimator.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <utility>

namespace brink::detector {
namespace {

/// Of white noise that is added before the fit: a tone that never changes would else be predicted
/// perfectly.
constexpr double kNoiseShare = 1e-3;

std::size_t to_samples(double seconds, double sample_rate_hz) {
  return static_cast<std::size_t>(std::lround(seconds * sample_rate_hz));
}

}  // namespace

LoopEstimator::LoopEstimator(double sample_rate_hz)
    : lags_(to_samples(kLatestS, sample_rate_hz)),
      earliest_(to_samples(kEarliestS, sample_rate_hz)),
      whitener_(sample_rate_hz),
      hop_(whitener_.hop_samples()),
      fft_(static_cast<int>(std::bit_ceil(2 * lags_))),
      white_(static_cast<std::size_t>(fft_.size_samples())),
      filled_(lags_),
      recent_(white_.size()),
      white_bins_(static_cast<std::size_t>(fft_.bin_count())),
      recent_bins_(white_bins_.size()),
      cross_(white_bins_.size()),
      system_(lags_ - earliest_) {}

void LoopEstimator::push(std::span<const float> block) noexcept {
  for (const float sample : block) {
    hop_[hop_filled_++] = std::isfinite(sample) ? sample : 0.0F;
    if (hop_filled_ == hop_.size()) {
      take_hop();
      hop_filled_ = 0;
    }
  }
}

void LoopEstimator::take_hop() noexcept {
  for (const double sample : whitener_.process(hop_)) {
    white_[filled_++] = sample;
    if (filled_ == white_.size()) {
      correlate();
    }
  }
  ++hops_;
  pitched_hops_ += whitener_.has_pitch() ? 1U : 0U;
}

/// Adds what the new samples in white_ have in common with those at most `lags_` before them.
void LoopEstimator::correlate() noexcept {
  const auto past = static_cast<std::ptrdiff_t>(lags_);
  std::fill(white_.begin() + static_cast<std::ptrdiff_t>(filled_), white_.end(), 0.0);
  std::copy(white_.begin() + past, white_.end(), recent_.begin() + past);
  fft_.forward(white_, white_bins_);
  fft_.forward(recent_, recent_bins_);
  for (std::size_t k = 0; k < cross_.size(); ++k) {
    cross_[k] += std::conj(white_bins_[k]) * recent_bins_[k];
  }
  const auto end = white_.begin() + static_cast<std::ptrdiff_t>(filled_);
  std::copy(end - past, end, white_.begin());
  filled_ = lags_;
}

LoopStretch LoopEstimator::finish_stretch() {
  correlate();
  std::vector<double> sums(white_.size());
  fft_.inverse(cross_, sums);
  std::fill(cross_.begin(), cross_.end(), 0.0);
  std::fill(white_.begin(), white_.end(), 0.0);
  sums.resize(lags_);
  for (double& sum : sums) {
    sum /= static_cast<double>(white_.size());
  }
  const auto hops = static_cast<double>(std::max<std::size_t>(1, hops_));
  const double pitched_share = static_cast<double>(std::exchange(pitched_hops_, 0)) / hops;
  hops_ = 0;
  return {std::move(sums), pitched_share};
}

void LoopEstimator::reset() noexcept {
  whitener_.reset();
  hop_filled_ = 0;
  hops_ = 0;
  pitched_hops_ = 0;
  std::fill(white_.begin(), white_.end(), 0.0);
  filled_ = lags_;
  std::fill(cross_.begin(), cross_.end(), 0.0);
}

std::vector<double> LoopEstimator::estimate(std::span<const double> correlation) {
  const std::size_t size = lags_ - earliest_;
  std::vector<double> column(correlation.begin(),
                             correlation.begin() + static_cast<std::ptrdiff_t>(size));
  column[0] *= 1.0 + kNoiseShare;
  std::vector<double> fitted(size);
  if (!system_.solve(column, correlation.subspan(earliest_, size), fitted)) {
    return {};
  }
  std::vector<double> taps(earliest_);
  taps.insert(taps.end(), fitted.begin(), fitted.end());
  return taps;
}

}  // namespace brink::detector
