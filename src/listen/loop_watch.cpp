#include "listen/loop_watch.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <functional>
#include <utility>

#include "base/units.h"

namespace brink::listen {
namespace {

/// While somebody talks: the pitch of a voice, which comes again and again, lies under it.
constexpr double kLowestWithVoiceHz = 250.0;
constexpr double kPitchedShare = 0.1;
/// Held notes look like a loop so near its brink. A loop that is there can be heard to ring.
constexpr double kLeastWithVoiceDb = 0.6;
/// Farther from the brink a voice tells too little of the loop (docs/validation.md).
constexpr double kMostWithVoiceDb = 6.0;
/// Of the spread that chance alone makes: noise has 0.97 to 1.00, speech 1.2 to 1.5, music 1.2
/// to 2.1.
constexpr double kMostSpread = 1.1;
constexpr double kMostSpreadWithVoice = 1.45;
/// A rise of all places by so much is a move of the gain, and a fall. The highest places of a
/// forecast are a little too high by chance, so a fall is told later.
constexpr double kRaisedDb = 1.5;
constexpr double kLoweredDb = 3.0;
constexpr std::size_t kFewestPlaces = 5;  // that tell a move of the gain from chance

}  // namespace

LoopWatch::LoopWatch(double sample_rate_hz)
    : slowed_(sample_rate_hz),
      rate_hz_(slowed_.rate_hz()),
      estimator_(rate_hz_),
      fft_(static_cast<int>(std::bit_ceil(static_cast<unsigned>(rate_hz_ / kStepHz)))) {}

void LoopWatch::push(std::span<const float> block) {
  slowed_.push(block, [this](std::span<const float> samples) { take(samples); });
}

void LoopWatch::take(std::span<const float> samples) {
  estimator_.push(samples);
  heard_ += samples.size();
  if (static_cast<double>(heard_) >= kStretchS * rate_hz_) {
    finish_stretch();
  }
}

void LoopWatch::reset() {
  slowed_.reset();
  heard_ = 0;
  estimator_.reset();
  stretches_.clear();
  forecast_.renew();
}

LoopSpectrum LoopWatch::spectrum(std::span<const double> correlation) {
  const std::vector<double> response = estimator_.estimate(correlation);
  return response.empty() ? LoopSpectrum{} : to_spectrum(response, fft_, rate_hz_);
}

void LoopWatch::finish_stretch() {
  heard_ = 0;
  Stretch stretch{.heard = estimator_.finish_stretch(), .loop = {}};
  stretch.loop = spectrum(stretch.heard.correlation);
  if (stretch.loop.gain.empty()) {
    stretches_.clear();
    forecast_.renew();
    // Silence, or a programme that predicts itself perfectly.
    const bool is_silent = stretch.heard.correlation.front() <= 0.0;
    forecast_.state = is_silent ? ForecastState::kWaiting : ForecastState::kTonal;
    return;
  }
  stretches_.push_back(std::move(stretch));
  if (stretches_.size() > kMostStretches) {
    stretches_.pop_front();
  }
  tell();
  const double moved = moved_db();
  if (moved > kRaisedDb || moved < -kLoweredDb) {
    stretches_.erase(stretches_.begin(), stretches_.end() - 1);
    tell();
  }
}

/// How far the newest stretch has all places over the forecast; 0 when too few tell.
double LoopWatch::moved_db() const {
  const LoopSpectrum& newest = stretches_.back().loop;
  std::vector<double> moves;
  for (const ForeseenPlace& place : forecast_.places) {
    const auto k = static_cast<std::size_t>(std::lround(place.frequency_hz / newest.step_hz));
    moves.push_back(base::amplitude_to_db(std::abs(newest.gain[k])) + place.left_db);
  }
  if (moves.size() < kFewestPlaces) {
    return 0.0;
  }
  const auto middle = moves.begin() + static_cast<std::ptrdiff_t>(moves.size() / 2);
  std::nth_element(moves.begin(), middle, moves.end());
  return *middle;
}

void LoopWatch::tell() {
  forecast_.renew();
  forecast_.heard_s = kStretchS * static_cast<double>(stretches_.size());
  if (stretches_.size() < kFewestStretches) {
    return;
  }
  std::vector<double> sums(stretches_.front().heard.correlation.size());
  double pitched = 0.0;
  std::vector<LoopSpectrum> apart;
  for (const Stretch& stretch : stretches_) {
    const auto& correlation = stretch.heard.correlation;
    std::transform(sums.begin(), sums.end(), correlation.begin(), sums.begin(), std::plus<>());
    pitched += stretch.heard.pitched_share / static_cast<double>(stretches_.size());
    apart.push_back(stretch.loop);
  }
  const LoopSpectrum whole = spectrum(sums);
  if (whole.gain.empty()) {
    return;
  }
  const double high_hz = SlowedTap::kHighestShare * rate_hz_;
  // White noise makes an error of lags over samples in each stretch, less what the whole shares.
  const double by_chance = detector::LoopEstimator::kLatestS / kStretchS *
                           (1.0 - 1.0 / static_cast<double>(stretches_.size()));
  const bool has_voice = pitched > kPitchedShare;
  const bool is_tonal = spread(whole, apart, kLowestHz, high_hz) >
                        by_chance * (has_voice ? kMostSpreadWithVoice : kMostSpread);
  if (is_tonal) {
    forecast_.state = ForecastState::kTonal;
    return;
  }
  auto places = find_places(whole, apart, has_voice ? kLowestWithVoiceHz : kLowestHz, high_hz);
  if (has_voice && !places.empty() &&
      (places.front().left_db < kLeastWithVoiceDb || places.front().left_db > kMostWithVoiceDb)) {
    forecast_.state = ForecastState::kTonal;
    return;
  }
  forecast_.state = ForecastState::kTold;
  forecast_.places = std::move(places);
}

}  // namespace brink::listen
