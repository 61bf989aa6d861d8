#include "core/tracks.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/units.h"
#include "core/window.h"

namespace brink::core {

namespace {

constexpr std::size_t kMaxPeaks = 64;
constexpr std::size_t kMaxTracks = 192;
constexpr float kReachBins =
    0.75F;                        // a peak this near continues a track; wider swallows neighbours
constexpr float kFollow = 0.3F;   // share of a new peak in the track's frequency
constexpr int kYoungHops = 6;     // a younger track is mostly noise and gets
constexpr int kYoungGapHops = 2;  // this much patience,
constexpr int kGapHops = 20;      // an older one this: a syllable may cover a ring for 0.3 s

float wrap_radians(float angle) noexcept {
  constexpr float kTurn = 2.0F * std::numbers::pi_v<float>;
  return angle - kTurn * std::round(angle / kTurn);
}

/// Phase that the tone at `position_bins` gained since the last hop beyond what `reference_hz`
/// explains. Both hops are read at the same place, so that a growing tone, whose phase depends on
/// the place, adds nothing.
float phase_step(const Spectrum& spectrum, float position_bins, float reference_hz) noexcept {
  const std::complex<float> turn = between_bins(spectrum.bins(), position_bins) *
                                   std::conj(between_bins(spectrum.previous_bins(), position_bins));
  if (turn == std::complex<float>{}) {
    return 0.0F;
  }
  const double expected_turns = static_cast<double>(reference_hz) * spectrum.hop_s();
  const auto expected =
      static_cast<float>(2.0 * std::numbers::pi * (expected_turns - std::round(expected_turns)));
  return wrap_radians(std::arg(turn) - expected);
}

float level_between_bins(const Spectrum& spectrum, float position_bins) noexcept {
  const float power = std::norm(between_bins(spectrum.bins(), position_bins));
  return 10.0F * std::log10(power + 1e-20F);
}

}  // namespace

Tracks::Tracks(const Spectrum& spectrum, PeakRange range)
    : range_{range}, peaks_(kMaxPeaks), slots_(kMaxTracks) {
  range_.highest_bin = std::min(range_.highest_bin, spectrum.bin_count() - 9);
  range_.lowest_bin = std::max(range_.lowest_bin, 8);
  for (Track& slot : slots_) {
    order_.push_back(&slot);
  }
}

void Tracks::advance(const Spectrum& spectrum) noexcept {
  peak_count_ = static_cast<std::size_t>(find_peaks(spectrum, range_, peaks_));
  const auto reach_hz = kReachBins * static_cast<float>(spectrum.bin_width_hz());
  // Both lists rise in frequency: each track takes the nearest free peak within reach.
  std::array<bool, kMaxPeaks> taken{};
  std::size_t first = 0;
  const std::size_t track_count = live_count_;
  for (std::size_t i = 0; i < track_count; ++i) {
    Track& track = *order_[i];
    while (first < peak_count_ && peaks_[first].frequency_hz < track.frequency_hz - reach_hz) {
      ++first;
    }
    std::size_t best = kMaxPeaks;
    float best_distance = reach_hz;
    for (std::size_t j = first;
         j < peak_count_ && peaks_[j].frequency_hz <= track.frequency_hz + reach_hz;
         ++j) {
      const float distance = std::abs(peaks_[j].frequency_hz - track.frequency_hz);
      if (!taken[j] && distance <= best_distance) {
        best = j;
        best_distance = distance;
      }
    }
    if (best < kMaxPeaks) {
      taken[best] = true;
    }
    extend(track, best < kMaxPeaks ? &peaks_[best] : nullptr, spectrum);
  }
  for (std::size_t j = 0; j < peak_count_; ++j) {
    if (!taken[j]) {
      bear(peaks_[j], spectrum);
    }
  }
  bury_and_sort();
}

void Tracks::extend(Track& track, const Peak* peak, const Spectrum& spectrum) noexcept {
  const double width_hz = spectrum.bin_width_hz();
  if (peak != nullptr) {
    track.frequency_hz += kFollow * (peak->frequency_hz - track.frequency_hz);
    track.gap_hops = 0;
    ++track.seen_hops;
    track.peak_dbfs = std::max(track.peak_dbfs, peak->level_dbfs);
  } else {
    ++track.gap_hops;
  }
  const auto position = static_cast<float>(static_cast<double>(track.frequency_hz) / width_hz);
  const float last_phase = track.age_hops > 0 ? track.look(0).phase : 0.0F;
  Track::Look look;
  look.phase = last_phase + phase_step(spectrum, position, track.reference_hz);
  look.level_dbfs = level_between_bins(spectrum, position);
  if (peak != nullptr) {
    look.prominence_db = peak->prominence_db;
    look.is_peak = true;
  }
  track.looks[static_cast<std::size_t>(track.age_hops % Track::kHistory)] = look;
  ++track.age_hops;
}

void Tracks::bear(const Peak& peak, const Spectrum& spectrum) noexcept {
  if (live_count_ == order_.size()) {
    return;  // more lines than slots is noise or a full band: the living go on
  }
  Track& track = *order_[live_count_++];
  track.id = next_id_++;
  track.age_hops = track.seen_hops = track.gap_hops = 0;
  track.reference_hz = track.frequency_hz = peak.frequency_hz;
  track.birth_level_dbfs = track.peak_dbfs = peak.level_dbfs;
  extend(track, &peak, spectrum);
}

void Tracks::bury_and_sort() noexcept {
  const auto is_over = [](const Track* track) {
    return track->gap_hops > (track->seen_hops < kYoungHops ? kYoungGapHops : kGapHops);
  };
  const auto living_end = std::partition(order_.begin(),
                                         order_.begin() + static_cast<std::ptrdiff_t>(live_count_),
                                         [&](const Track* track) { return !is_over(track); });
  live_count_ = static_cast<std::size_t>(living_end - order_.begin());
  std::sort(order_.begin(), living_end, [](const Track* a, const Track* b) {
    return a->frequency_hz < b->frequency_hz;
  });
}

}  // namespace brink::core
