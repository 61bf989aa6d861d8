#include "core/detector.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>
#include <vector>

#include "core/decimator.h"
#include "core/error.h"
#include "core/rings.h"
#include "core/units.h"

namespace brink::core {

namespace {

constexpr double kLowestRateHz = 8000.0;
constexpr double kHighestRateHz = 192000.0;
constexpr double kHopS = 0.016;        // 768 samples at 48 kHz
constexpr float kFullScale = 0.9999F;  // 16-bit full scale is 32767 / 32768
constexpr float kMostSample = 8.0F;    // no converter goes 18 dB over; bounded, no sum can overflow

/// One look at the stream. Long windows tell neighbours apart where rooms have them a few Hz from
/// each other; short ones follow the fast growth that only high frequencies have.
struct ScalePlan {
  double window_s;
  double lowest_hz, highest_hz;         ///< where peaks are followed
  double speaks_from_hz, speaks_to_hz;  ///< where this scale stands for the spectrum
};

constexpr std::array<ScalePlan, 3> kScalePlans{{
    {0.3413, 40.0, 1200.0, 0.0, 700.0},          // 2.9 Hz bins
    {0.1707, 150.0, 5200.0, 700.0, 3500.0},      // 5.9 Hz bins
    {0.0853, 2000.0, 20000.0, 3500.0, 96000.0},  // 11.7 Hz bins
}};

/// The largest power of two by which the rate can fall and still pass `highest_hz` (a decimator is
/// flat to 0.4 of its rate).
int decimation_for(double sample_rate_hz, double highest_hz) {
  int factor = 1;
  while (factor < 64 && 0.4 * sample_rate_hz / (2 * factor) >= highest_hz) {
    factor *= 2;
  }
  return factor;
}

void check(const DetectorConfig& config) {
  if (!(config.sample_rate_hz >= kLowestRateHz && config.sample_rate_hz <= kHighestRateHz)) {
    throw Error{fmt::format("the sample rate is {} Hz; brink takes {:.0f} to {:.0f} Hz",
                            config.sample_rate_hz,
                            kLowestRateHz,
                            kHighestRateHz)};
  }
}

}  // namespace

struct Detector::State {
  explicit State(const DetectorConfig& config);

  void take(std::span<const float> samples) noexcept;  ///< at most what the hop still lacks
  void hop(EventSink& sink) noexcept;

  InputCounts counts;
  std::vector<float> block;  ///< the hop being filled
  std::size_t filled = 0;
  std::vector<Decimator> halvings;
  std::vector<Scale> scales;
  std::vector<int> scale_halvings;  ///< how often the rate is halved before each scale
  Rings rings;
  std::vector<TrackView> views;
  std::vector<float> spectrum_dbfs, spectrum_hz;
};

Detector::State::State(const DetectorConfig& config) : rings{config.sample_rate_hz} {
  const double rate = config.sample_rate_hz;
  int most = 1;
  std::vector<int> factors;
  for (const ScalePlan& plan : kScalePlans) {
    const int factor = decimation_for(rate, plan.highest_hz);
    factors.push_back(factor);
    most = std::max(most, factor);
  }
  // The hop is a whole number of samples at every rate.
  const int hop_samples = most * static_cast<int>(std::lround(kHopS * rate / most));
  block.resize(static_cast<std::size_t>(hop_samples));
  for (int factor = 1; factor < most; factor *= 2) {
    halvings.emplace_back(hop_samples / factor);
  }
  for (std::size_t i = 0; i < kScalePlans.size(); ++i) {
    const ScalePlan& plan = kScalePlans[i];
    const double highest_hz = std::min(plan.highest_hz, 0.45 * rate);
    if (plan.lowest_hz >= highest_hz) {
      continue;  // the rate is too low to hold this band
    }
    const double scale_rate = rate / factors[i];
    const int window = fast_fft_size(static_cast<int>(std::lround(plan.window_s * scale_rate)));
    const int hop = hop_samples / factors[i];
    Spectrum spectrum{scale_rate, window, hop};
    const double width = spectrum.bin_width_hz();
    Tracks tracks{spectrum,
                  PeakRange{static_cast<int>(std::ceil(plan.lowest_hz / width)),
                            static_cast<int>(highest_hz / width)}};
    scales.push_back(Scale{std::move(spectrum),
                           std::move(tracks),
                           SlopeFit{window, hop, kMaxSlopeLooks},
                           static_cast<float>(plan.speaks_from_hz),
                           static_cast<float>(plan.speaks_to_hz)});
    scale_halvings.push_back(static_cast<int>(std::lround(std::log2(factors[i]))));
  }
  scales.back().highest_hz = static_cast<float>(rate);
  for (const Scale& scale : scales) {
    for (std::size_t k = scale.first_bin(); k < scale.end_bin(); ++k) {
      spectrum_hz.push_back(
          static_cast<float>(static_cast<double>(k) * scale.spectrum.bin_width_hz()));
    }
  }
  views.reserve(scales.size() * Tracks::kMaxTracks);
  spectrum_dbfs.assign(spectrum_hz.size(), static_cast<float>(kSilenceDb));
}

void Detector::State::take(std::span<const float> samples) noexcept {
  std::int32_t non_finite = 0;
  std::int32_t clipped = 0;
  float* const destination = block.data() + filled;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const float size = std::abs(samples[i]);
    const bool is_finite = size <= std::numeric_limits<float>::max();
    non_finite += is_finite ? 0 : 1;
    clipped += (is_finite && size >= kFullScale) ? 1 : 0;
    const float bounded = std::min(std::max(samples[i], -kMostSample), kMostSample);
    destination[i] = is_finite ? bounded : 0.0F;
  }
  counts.non_finite += non_finite;
  counts.clipped += clipped;
  counts.samples += static_cast<std::int64_t>(samples.size());
  filled += samples.size();
}

void Detector::State::hop(EventSink& sink) noexcept {
  std::span<const float> samples{block};
  std::size_t halved = 0;
  const auto feed = [&](std::size_t times) {
    for (std::size_t i = 0; i < scales.size(); ++i) {
      if (static_cast<std::size_t>(scale_halvings[i]) == times) {
        scales[i].spectrum.advance(samples);
        scales[i].tracks.advance(scales[i].spectrum);
      }
    }
  };
  feed(halved);
  for (Decimator& halving : halvings) {
    samples = halving.process(samples);
    feed(++halved);
  }
  rings.advance(scales, counts.samples, sink);
}

Detector::Detector(const DetectorConfig& config) {
  check(config);
  state_ = std::make_unique<State>(config);
}

Detector::~Detector() = default;
Detector::Detector(Detector&&) noexcept = default;
Detector& Detector::operator=(Detector&&) noexcept = default;

void Detector::push(std::span<const float> samples, EventSink& sink) noexcept {
  State& state = *state_;
  while (!samples.empty()) {
    const std::size_t count = std::min(samples.size(), state.block.size() - state.filled);
    state.take(samples.first(count));
    samples = samples.subspan(count);
    if (state.filled == state.block.size()) {
      state.filled = 0;
      state.hop(sink);
    }
  }
}

void Detector::finish(EventSink& sink) noexcept {
  state_->rings.finish(state_->counts.samples, sink);
}

const InputCounts& Detector::counts() const noexcept {
  return state_->counts;
}

std::span<const TrackView> Detector::tracks() const noexcept {
  State& state = *state_;
  state.views.clear();
  for (const Scale& scale : state.scales) {
    for (const Track* track : scale.tracks.live()) {
      const Ring* ring = state.rings.find(track->ring_id);
      const bool speaks =
          track->frequency_hz >= scale.lowest_hz && track->frequency_hz < scale.highest_hz;
      if (!speaks || !track->look(0).is_peak()) {
        continue;
      }
      TrackView& view = state.views.emplace_back();
      view.frequency_hz = static_cast<double>(track->frequency_hz);
      view.level_dbfs = static_cast<double>(track->look(0).level_dbfs);
      view.growth_db_per_s = static_cast<double>(growth_db_per_s(scale, *track));
      if (ring != nullptr) {
        view.ring_id = ring->id;
        view.state = ring->state;
        view.confidence = ring->confidence;
      }
    }
  }
  return state.views;
}

std::span<const float> Detector::spectrum_dbfs() const noexcept {
  State& state = *state_;
  std::size_t next = 0;
  for (const Scale& scale : state.scales) {
    const auto power = scale.spectrum.power();
    for (std::size_t k = scale.first_bin(); k < scale.end_bin(); ++k) {
      state.spectrum_dbfs[next++] = static_cast<float>(power_to_db(static_cast<double>(power[k])));
    }
  }
  return state.spectrum_dbfs;
}

std::span<const float> Detector::spectrum_hz() const noexcept {
  return state_->spectrum_hz;
}

int Detector::hop_samples() const noexcept {
  return static_cast<int>(state_->block.size());
}

}  // namespace brink::core
