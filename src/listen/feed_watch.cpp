#include "listen/feed_watch.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <iterator>
#include <numeric>

#include "base/units.h"
#include "cuts/loop_gain.h"
#include "listen/loop_watch.h"

namespace brink::listen {
namespace {

/// Less than that in the feed, under the microphone's part, shows nothing of the loop, and hardly
/// deceives one tap.
constexpr double kLeastOtherDb = -20.0;
/// Two halves agree by chance here and there, so their difference is averaged over so much.
constexpr double kErrorWidthHz = 110.0;
/// Of a gain of 0.5, 6 dB under the brink, it is 1 dB.
constexpr double kMostError = 0.06;
constexpr double kLeastCovered = 0.5;
constexpr double kMovedDb = 1.5;
/// So loud, it hides the microphone in the feed, and how loud that is cannot be followed.
constexpr double kMostOtherDb = 15.0;
/// In place of a gain that is not known: no place to ring.
constexpr std::complex<double> kNowhere{-1e-9, 0.0};

/// The standard deviation of the gain at each frequency.
std::vector<double> find_errors(const std::array<LoopSpectrum, 2>& halves) {
  const std::size_t count = halves[0].gain.size();
  std::vector<double> sums(count + 1);  // of squared errors
  for (std::size_t k = 0; k < count; ++k) {
    sums[k + 1] = sums[k] + std::norm(halves[0].gain[k] - halves[1].gain[k]) / 4.0;
  }
  const auto width = static_cast<std::size_t>(kErrorWidthHz / halves[0].step_hz / 2.0);
  std::vector<double> errors(count);
  for (std::size_t k = 0; k < count; ++k) {
    const std::size_t from = k < width ? 0 : k - width;
    const std::size_t to = std::min(count, k + width + 1);
    errors[k] = std::sqrt((sums[to] - sums[from]) / static_cast<double>(to - from));
  }
  return errors;
}

/// So many samples of a tap, up to a whole block of SlowedTap, slowed.
std::size_t whole_blocks(double samples, double slower) {
  constexpr auto kBlock = static_cast<double>(SlowedTap::kStepSamples);
  return static_cast<std::size_t>(std::ceil(samples / kBlock) * kBlock / slower);
}

bool is_known(double error) noexcept {
  return error <= kMostError;
}

/// The share of the octaves from LoopWatch::kLowestHz to `high_hz` that is known.
double covered(const std::vector<double>& errors, double step_hz, double high_hz) noexcept {
  double sum = 0.0;
  double whole = 0.0;
  for (auto k = static_cast<std::size_t>(LoopWatch::kLowestHz / step_hz);
       static_cast<double>(k) * step_hz < high_hz;
       ++k) {
    const double part = 1.0 / static_cast<double>(k);
    whole += part;
    sum += is_known(errors[k]) ? part : 0.0;
  }
  return sum / whole;
}

/// Whether the nearest ring is where the loop is known. Where it is not, there may be a nearer one.
bool is_first_known(const LoopSpectrum& loop, std::span<const double> errors, double high_hz) {
  const auto low = static_cast<std::size_t>(LoopWatch::kLowestHz / loop.step_hz);
  const auto high = static_cast<std::size_t>(high_hz / loop.step_hz);
  const cuts::LoopGain band{static_cast<double>(low) * loop.step_hz,
                            loop.step_hz,
                            std::span(loop.gain).subspan(low, high - low)};
  const cuts::Crossing first = cuts::highest_crossing(band);
  return is_known(errors[static_cast<std::size_t>(first.frequency_hz / loop.step_hz)]);
}

}  // namespace

FeedWatch::FeedWatch(double sample_rate_hz, int feed_tap)
    : feed_tap_(feed_tap),
      slowed_microphone_(sample_rate_hz),
      slowed_feed_(sample_rate_hz),
      rate_hz_(slowed_feed_.rate_hz()),
      stretch_samples_(
          whole_blocks(LoopWatch::kStretchS * sample_rate_hz, sample_rate_hz / rate_hz_)),
      piece_samples_(stretch_samples_ / (detector::TwoTapEstimator::kPieces + 20)),
      estimator_(rate_hz_, stretch_samples_),
      fft_(static_cast<int>(std::bit_ceil(static_cast<unsigned>(rate_hz_ / LoopWatch::kStepHz)))) {}

void FeedWatch::push(std::span<const float> microphone, std::span<const float> feed) {
  const auto keep = [](std::span<const float> samples, std::vector<float>& kept) {
    std::transform(samples.begin(), samples.end(), std::back_inserter(kept), [](float sample) {
      return std::isfinite(sample) ? sample : 0.0F;
    });
  };
  while (!microphone.empty()) {
    // So short that each tap gives at most one block.
    const std::size_t count = std::min(SlowedTap::kStepSamples, microphone.size());
    slowed_microphone_.push(microphone.first(count),
                            [&](std::span<const float> samples) { keep(samples, microphone_); });
    slowed_feed_.push(feed.first(count), [&](std::span<const float> samples) {
      keep(samples, feed_);
      hear(samples.size());
    });
    microphone = microphone.subspan(count);
    feed = feed.subspan(count);
  }
}

/// So many more samples are there.
void FeedWatch::hear(std::size_t samples) {
  heard_ += samples;
  waited_ += samples;
  if (is_working_ && waited_ >= piece_samples_) {
    waited_ = 0;
    work();
  }
  if (heard_ >= stretch_samples_) {
    finish();
    end_stretch();
  }
}

void FeedWatch::work() {
  if (!estimator_.work()) {
    return;
  }
  is_working_ = false;
  if (was_moved()) {
    forget_estimated();
  }
  tell();
}

/// Whether the newest stretch has another gain than those before it.
bool FeedWatch::was_moved() const noexcept {
  const std::vector<double>& gains = estimator_.estimate().stretch_gains_db;
  if (gains.size() < 2 || estimator_.estimate().other_db > kMostOtherDb) {
    return false;
  }
  const double before =
      std::accumulate(gains.begin(), gains.end() - 1, 0.0) / static_cast<double>(gains.size() - 1);
  return std::abs(gains.back() - before) > kMovedDb;
}

/// All but what was heard since: in the newest stretch the gain may have been one and the other.
void FeedWatch::forget_estimated() {
  drop(estimated_);
  estimated_ = 0;
}

/// The oldest samples, whole stretches.
void FeedWatch::drop(std::size_t samples) {
  const auto count = static_cast<std::ptrdiff_t>(samples);
  microphone_.erase(microphone_.begin(), microphone_.begin() + count);
  feed_.erase(feed_.begin(), feed_.begin() + count);
  dropped_ += samples / stretch_samples_;
}

void FeedWatch::finish() {
  while (is_working_) {
    work();
  }
}

void FeedWatch::end_stretch() {
  heard_ = 0;
  waited_ = 0;
  const std::size_t most = LoopWatch::kMostStretches * stretch_samples_;
  if (microphone_.size() > most) {
    drop(microphone_.size() - most);
  }
  estimator_.begin(microphone_, feed_, dropped_);
  estimated_ = microphone_.size();
  is_working_ = true;
}

void FeedWatch::reset() {
  slowed_microphone_.reset();
  slowed_feed_.reset();
  microphone_.clear();
  feed_.clear();
  heard_ = 0;
  is_working_ = false;
  estimator_.forget();
  forecast_.renew();
}

bool FeedWatch::has_other() const noexcept {
  return forecast_.feed && forecast_.feed->other_db > kLeastOtherDb;
}

/// The loop of a path that was measured with the loop closed.
LoopSpectrum FeedWatch::loop(std::span<const double> closed_path, const LoopSpectrum& console) {
  LoopSpectrum made = to_spectrum(closed_path, fft_, rate_hz_);
  for (std::size_t k = 0; k < made.gain.size(); ++k) {
    const std::complex<double> back = console.gain[k] * made.gain[k];
    made.gain[k] = back / (1.0 + back);
  }
  return made;
}

void FeedWatch::tell() {
  forecast_.renew();
  const detector::TwoTapEstimate& estimate = estimator_.estimate();
  forecast_.heard_s = static_cast<double>(estimated_) / rate_hz_;
  forecast_.feed = {
      feed_tap_, estimate.other_db, estimate.coherence, base::power_to_db(estimate.condition), 0.0};
  if (estimated_ < LoopWatch::kFewestStretches * stretch_samples_) {
    return;
  }
  const LoopSpectrum console = to_spectrum(estimate.console, fft_, rate_hz_);
  LoopSpectrum whole = loop(estimate.closed_path, console);
  const std::array<LoopSpectrum, 2> halves{loop(estimate.halves[0], console),
                                           loop(estimate.halves[1], console)};
  const double high_hz = SlowedTap::kHighestShare * rate_hz_;
  const std::vector<double> errors = find_errors(halves);
  forecast_.feed->covered = covered(errors, whole.step_hz, high_hz);
  forecast_.state = ForecastState::kUnclear;
  if (!has_other() || forecast_.feed->covered < kLeastCovered ||
      !is_first_known(whole, errors, high_hz)) {
    return;
  }
  for (std::size_t k = 0; k < whole.gain.size(); ++k) {
    whole.gain[k] = is_known(errors[k]) ? whole.gain[k] : kNowhere;
  }
  forecast_.places = find_places(whole, halves, LoopWatch::kLowestHz, high_hz);
  std::erase_if(forecast_.places, [&](const ForeseenPlace& place) {
    const auto k = static_cast<std::size_t>(place.frequency_hz / whole.step_hz);
    return !is_known(errors[k]) || !is_known(errors[k + 1]);
  });
  for (ForeseenPlace& place : forecast_.places) {
    const auto k = static_cast<std::size_t>(place.frequency_hz / whole.step_hz);
    const double rise_db =
        place.left_db + base::amplitude_to_db(base::db_to_amplitude(-place.left_db) + errors[k]);
    place.left_sd_db = std::max(place.left_sd_db, rise_db);
  }
  forecast_.state = ForecastState::kTold;
}

}  // namespace brink::listen
