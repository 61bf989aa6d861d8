#include "detector/detector.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>
#include <vector>

#include "base/denormals.h"
#include "base/error.h"
#include "base/number_text.h"
#include "base/units.h"
#include "detector/rings.h"
#include "detector/scales.h"
#include "detector/track_line.h"

namespace brink::detector {

namespace {

constexpr double kLowestRateHz = 8000.0;
constexpr double kHighestRateHz = 192000.0;
constexpr float kFullScale = 0.9999F;  // 16-bit full scale is 32767 / 32768
constexpr float kMostSample = 8.0F;    // no converter goes 18 dB over; bounded, no sum can overflow

void check(const DetectorConfig& config) {
  if (!(config.sample_rate_hz >= kLowestRateHz && config.sample_rate_hz <= kHighestRateHz)) {
    throw base::Error{"the sample rate is " + base::general_text(config.sample_rate_hz) +
                      " Hz; brink takes " + base::general_text(kLowestRateHz) + " to " +
                      base::general_text(kHighestRateHz) + " Hz"};
  }
}

/// Growth of the line that `track` of the first of `scales` follows. A long window smears a fast
/// one (0.34 s of 200 dB/s span 68 dB, of which it sees the loud end): then the shortest that has
/// the line speaks.
float growth_of(std::span<const Scale> scales, const Track& track) noexcept {
  constexpr float kFastDbPerS = 100.0F;
  constexpr int kLooks = 4;
  float growth = growth_db_per_s(scales.front(), track);
  if (growth < kFastDbPerS) {
    return growth;
  }
  for (const Scale& shorter : scales.subspan(1)) {
    const float reach_hz = 0.75F / shorter.window_s();
    for (const Track* other : shorter.tracks.live()) {
      if (std::abs(other->frequency_hz - track.frequency_hz) < reach_hz &&
          other->look(0).is_peak() && other->history_hops() >= kLooks) {
        growth = growth_db_per_s(shorter, *other);
      }
    }
  }
  return growth;
}

/// As base::power_to_db(), with what a float holds: a picture needs thousands of these at a time.
float to_dbfs(float power) noexcept {
  constexpr float kSilentPower = 1e-20F;
  return power > kSilentPower ? 10.0F * std::log10(power) : static_cast<float>(base::kSilenceDb);
}

}  // namespace

struct Detector::State {
  explicit State(const DetectorConfig& config);

  void take(std::span<const float> samples) noexcept;  ///< at most what the hop still lacks

  Scales scales;
  Rings rings;
  InputCounts counts;
  std::vector<float> block;  ///< the hop being filled
  std::size_t filled = 0;
  std::vector<TrackView> views;
  std::vector<float> spectrum_dbfs, spectrum_hz, spectrum_delay_samples;
};

Detector::State::State(const DetectorConfig& config)
    : scales{config.sample_rate_hz},
      rings{config.sample_rate_hz, config.sure},
      block(static_cast<std::size_t>(scales.hop_samples())) {
  views.reserve(scales.all().size() * Tracks::kMaxTracks);
  for (const Scale& scale : scales.all()) {
    for (std::size_t k = scale.first_bin(); k < scale.end_bin(); ++k) {
      spectrum_hz.push_back(
          static_cast<float>(static_cast<double>(k) * scale.spectrum.bin_width_hz()));
      spectrum_delay_samples.push_back(static_cast<float>(scale.delay_s() * config.sample_rate_hz));
    }
  }
  spectrum_dbfs.assign(spectrum_hz.size(), static_cast<float>(base::kSilenceDb));
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

Detector::Detector(const DetectorConfig& config) {
  check(config);
  state_ = std::make_unique<State>(config);
}

Detector::~Detector() = default;
Detector::Detector(Detector&&) noexcept = default;
Detector& Detector::operator=(Detector&&) noexcept = default;

void Detector::push(std::span<const float> samples, EventSink& sink) noexcept {
  const base::NoDenormals no_denormals;
  State& state = *state_;
  while (!samples.empty()) {
    const std::size_t count = std::min(samples.size(), state.block.size() - state.filled);
    state.take(samples.first(count));
    samples = samples.subspan(count);
    if (state.filled == state.block.size()) {
      state.filled = 0;
      state.scales.advance(state.block);
      state.rings.advance(state.scales, state.counts.samples, sink);
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
  const std::span<const Scale> scales = std::as_const(state.scales).all();
  for (std::size_t i = 0; i < scales.size(); ++i) {
    const Scale& scale = scales[i];
    for (const Track* track : scale.tracks.live()) {
      const Ring* ring = state.rings.find(track->ring_id);
      const bool speaks =
          track->frequency_hz >= scale.lowest_hz && track->frequency_hz < scale.highest_hz;
      if (!speaks || !track->look(0).is_peak()) {
        continue;
      }
      TrackView& view = state.views.emplace_back();
      view.track_id = static_cast<std::uint64_t>(track->id) * scales.size() + i;
      view.frequency_hz = static_cast<double>(track->frequency_hz);
      view.level_dbfs = static_cast<double>(track->look(0).level_dbfs);
      view.growth_db_per_s = static_cast<double>(growth_of(scales.subspan(i), *track));
      if (ring != nullptr) {
        view.ring_id = ring->id;
        view.state = ring->state;
        view.confidence = ring->confidence;
      }
    }
  }
  return state.views;
}

std::span<const Place> Detector::places() const noexcept {
  return state_->rings.places();
}

std::span<const float> Detector::spectrum_dbfs() const noexcept {
  std::vector<float>& spectrum = state_->spectrum_dbfs;
  std::fill(spectrum.begin(), spectrum.end(), 0.0F);
  join_spectrum(spectrum);
  spectrum_to_dbfs(spectrum);
  return spectrum;
}

void Detector::join_spectrum(std::span<float> power) const noexcept {
  std::size_t next = 0;
  for (const Scale& scale : std::as_const(state_->scales).all()) {
    const std::size_t first = scale.first_bin();
    for (const float bin : scale.spectrum.power().subspan(first, scale.end_bin() - first)) {
      power[next] = std::max(power[next], bin);
      ++next;
    }
  }
}

void spectrum_to_dbfs(std::span<float> spectrum) noexcept {
  std::transform(spectrum.begin(), spectrum.end(), spectrum.begin(), to_dbfs);
}

std::span<const float> Detector::spectrum_hz() const noexcept {
  return state_->spectrum_hz;
}

std::span<const float> Detector::spectrum_delay_samples() const noexcept {
  return state_->spectrum_delay_samples;
}

int Detector::hop_samples() const noexcept {
  return static_cast<int>(state_->block.size());
}

}  // namespace brink::detector
