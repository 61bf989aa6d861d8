#include "detector/forecast/two_tap_estimator.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/toeplitz.h"
#include "base/units.h"
#include "detector/forecast/loop_estimator.h"

namespace brink::detector {
namespace {

constexpr double kLevelS = 0.015;  // over two times this the power is averaged
/// Of the whole's mean power: no moment counts for more.
constexpr double kLeastPower = 1e-7;
/// Of the inverse power. With 1 each moment brings as much of the microphone's programme, and a
/// voice's pitch stays in; a little more leans on the pauses.
constexpr double kPathPower = 1.5;
constexpr double kNoiseShare = 1e-6;  // added before a whitening filter is found

constexpr double kLeastGain = 1e-3;  // of a stretch in which the microphone is not in the feed

constexpr int kConsoleRounds = 3;
constexpr int kConsoleSteps = 12;
constexpr int kPathRounds = 2;  // each with weights from the one before
constexpr int kPathSteps = 8;
constexpr int kHalfSteps = 12;

constexpr double kLowest = 60.0;       // Hz, of the condition
constexpr double kHighestShare = 0.4;  // of the rate

std::size_t to_samples(double seconds, double sample_rate_hz) {
  return static_cast<std::size_t>(std::lround(seconds * sample_rate_hz));
}

double power(std::span<const double> samples) noexcept {
  return std::inner_product(samples.begin(), samples.end(), samples.begin(), 0.0);
}

/// The filter that takes the colour out of a sound: the error of its linear prediction.
std::vector<double> whitening(std::span<const double> sound, std::size_t order) {
  std::vector<double> correlation(order + 1);
  for (std::size_t lag = 0; lag <= order; ++lag) {
    correlation[lag] = std::inner_product(
        sound.begin() + static_cast<std::ptrdiff_t>(lag), sound.end(), sound.begin(), 0.0);
  }
  correlation[0] *= 1.0 + kNoiseShare;
  std::vector<double> predictor(order);
  std::vector<double> scratch(order);
  // In silence the predictor is zero: then nothing is filtered.
  static_cast<void>(base::solve_toeplitz(
      std::span(correlation).first(order), std::span(correlation).last(order), predictor, scratch));
  return predictor;
}

void whiten(std::span<const double> sound,
            std::span<const double> predictor,
            std::vector<double>& white) {
  white.resize(sound.size());
  for (std::size_t n = 0; n < sound.size(); ++n) {
    double value = sound[n];
    for (std::size_t k = 0; k < std::min(n, predictor.size()); ++k) {
      value -= predictor[k] * sound[n - 1 - k];
    }
    white[n] = value;
  }
}

void smooth(std::vector<double>& values, std::size_t width) {
  std::vector<double> sums(values.size() + 1);
  std::partial_sum(values.begin(), values.end(), sums.begin() + 1);
  for (std::size_t n = 0; n < values.size(); ++n) {
    const std::size_t from = n < width / 2 ? 0 : n - width / 2;
    const std::size_t to = std::min(values.size(), n + width / 2 + 1);
    values[n] = std::max(0.0, sums[to] - sums[from]) / static_cast<double>(to - from);
  }
}

/// The inverse of the power of `sound` from moment to moment.
void weigh(std::span<const double> sound, std::size_t width, std::vector<double>& weights) {
  weights.resize(sound.size());
  std::transform(sound.begin(), sound.end(), weights.begin(), [](double x) { return x * x; });
  const double least =
      kLeastPower * power(sound) / static_cast<double>(std::max<std::size_t>(1, sound.size()));
  smooth(weights, width);
  smooth(weights, width);
  for (double& weight : weights) {
    weight = weight + least > 0.0 ? 1.0 / (weight + least) : 0.0;
  }
}

}  // namespace

TwoTapEstimator::TwoTapEstimator(double sample_rate_hz, std::size_t stretch_samples)
    : sample_rate_hz_(sample_rate_hz),
      stretch_samples_(stretch_samples),
      console_(0, to_samples(kConsoleS, sample_rate_hz)),
      path_(to_samples(LoopEstimator::kEarliestS, sample_rate_hz),
            to_samples(LoopEstimator::kLatestS, sample_rate_hz)) {}

void TwoTapEstimator::forget() noexcept {
  estimate_ = {};
}

void TwoTapEstimator::begin(std::span<const float> microphone,
                            std::span<const float> feed,
                            std::size_t first_stretch) {
  first_stretch_ = first_stretch;
  microphone_.assign(microphone.begin(), microphone.end());
  feed_.assign(feed.begin(), feed.end());
  other_ = feed_;
  own_ = microphone_;
  console_.start_from(estimate_.console);
  piece_ = 0;
}

bool TwoTapEstimator::work() {
  constexpr int kRound = 1 + kPathSteps;
  constexpr int kHalf = 1 + kHalfSteps;
  constexpr int kPathStart = kConsoleRounds;
  constexpr int kHalfStart = kPathStart + kPathRounds * kRound;
  constexpr int kEnd = kHalfStart + 2 * kHalf;
  const int piece = piece_++;
  if (piece < kPathStart) {
    fit_console();
  } else if (piece < kHalfStart) {
    if ((piece - kPathStart) % kRound == 0) {
      prepare_path();
    } else {
      path_.step();
    }
    if (piece + 1 == kHalfStart) {
      finish_path();
    }
  } else if (piece < kEnd) {
    const auto half = static_cast<std::size_t>((piece - kHalfStart) / kHalf);
    if ((piece - kHalfStart) % kHalf == 0) {
      prepare_half(half);
    } else {
      path_.step();
    }
    const auto response = path_.response();
    estimate_.halves[half].assign(response.begin(), response.end());
  }
  return piece + 1 >= kEnd;
}

void TwoTapEstimator::fit_console() {
  const auto predictor = whitening(other_, to_samples(LoopEstimator::kEarliestS, sample_rate_hz_));
  whiten(microphone_, predictor, white_in_);
  whiten(feed_, predictor, white_out_);
  std::vector<double> white_other;
  whiten(other_, predictor, white_other);
  weigh(white_other, to_samples(kLevelS, sample_rate_hz_), weights_);
  console_.prepare(white_in_, white_out_, weights_);
  for (int step = 0; step < kConsoleSteps; ++step) {
    console_.step();
  }
  const auto response = console_.response();
  estimate_.console.assign(response.begin(), response.end());
  find_stretch_gains();
  other_ = console_.residual(microphone_, feed_);
  double part = 0.0;
  for (std::size_t n = 0; n < feed_.size(); ++n) {
    part += (feed_[n] - other_[n]) * (feed_[n] - other_[n]);
  }
  estimate_.other_db = base::power_to_db(power(other_) / std::max(part, 1e-30));
}

void TwoTapEstimator::find_stretch_gains() {
  const std::vector<double> left = console_.residual(white_in_, white_out_);
  estimate_.stretch_gains_db.clear();
  for (std::size_t at = 0; at + stretch_samples_ <= left.size(); at += stretch_samples_) {
    double both = 0.0;
    double part = 0.0;
    for (std::size_t n = at; n < at + stretch_samples_; ++n) {
      const double made = white_out_[n] - left[n];
      both += weights_[n] * white_out_[n] * made;
      part += weights_[n] * made * made;
    }
    const double gain = part > 0.0 ? std::max(both / part, kLeastGain) : 1.0;
    estimate_.stretch_gains_db.push_back(base::amplitude_to_db(gain));
  }
}

void TwoTapEstimator::prepare_path() {
  if (piece_ - 1 == kConsoleRounds) {
    path_.start_from(estimate_.closed_path);
  }
  own_ = path_.residual(other_, microphone_);
  const std::size_t order = to_samples(LoopEstimator::kEarliestS, sample_rate_hz_);
  const std::size_t width = to_samples(kLevelS, sample_rate_hz_);
  std::vector<double> white_own;
  whiten(own_, whitening(own_, order), white_own);
  weigh(white_own, width, weights_);
  // The colour that counts is that of the moments which weigh most: a pause has another than a
  // voice.
  std::vector<double> weighted(own_.size());
  std::transform(
      own_.begin(), own_.end(), weights_.begin(), weighted.begin(), [](double x, double weight) {
        return x * std::sqrt(weight);
      });
  const auto predictor = whitening(weighted, order);
  whiten(other_, predictor, white_in_);
  whiten(microphone_, predictor, white_out_);
  whiten(own_, predictor, white_own);
  weigh(white_own, width, weights_);
  for (double& weight : weights_) {
    weight = std::pow(weight, kPathPower);
  }
  path_.prepare(white_in_, white_out_, weights_);
}

void TwoTapEstimator::finish_path() {
  const auto response = path_.response();
  estimate_.closed_path.assign(response.begin(), response.end());
  const std::vector<double> left = path_.residual(white_in_, white_out_);
  double missing = 0.0;
  double all = 0.0;
  for (std::size_t n = 0; n < left.size(); ++n) {
    missing += weights_[n] * left[n] * left[n];
    all += weights_[n] * white_out_[n] * white_out_[n];
  }
  estimate_.coherence = all > 0.0 ? std::clamp(1.0 - missing / all, 0.0, 1.0) : 0.0;
  estimate_.condition = path_.condition(kLowest / sample_rate_hz_, kHighestShare);
}

void TwoTapEstimator::prepare_half(std::size_t half) {
  half_weights_ = weights_;
  for (std::size_t n = 0; n < half_weights_.size(); ++n) {
    if ((first_stretch_ + n / stretch_samples_) % 2 != half) {
      half_weights_[n] = 0.0;
    }
  }
  path_.start_from(estimate_.halves[half]);
  path_.prepare(white_in_, white_out_, half_weights_);
}

}  // namespace brink::detector
