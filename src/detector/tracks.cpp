#include "detector/tracks.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/units.h"
#include "base/window.h"

namespace brink::detector {

namespace {

constexpr std::size_t kMaxPeaks = 64;
constexpr float kReachBins =
    0.75F;                        // a peak this near continues a track; wider swallows neighbours
constexpr float kFollow = 0.3F;   // share of a new peak in the track's frequency
constexpr int kYoungHops = 6;     // a younger track is mostly noise and gets
constexpr int kYoungGapHops = 1;  // this much patience,
constexpr int kGapHops = 20;      // an older one this: a syllable may cover a ring for 0.3 s

float wrap_radians(float angle) noexcept {
  constexpr float kTurn = 2.0F * std::numbers::pi_v<float>;
  return angle - kTurn * std::rint(angle / kTurn);
}

/// Phase that a tone gained from one hop to the next beyond what `reference_hz` explains. Both are
/// read at the same place, so that a growing tone, whose phase depends on the place, adds nothing.
float phase_step(std::complex<float> now,
                 std::complex<float> before,
                 float reference_turns) noexcept {
  const std::complex<float> turn = now * std::conj(before);
  if (turn == std::complex<float>{}) {
    return 0.0F;
  }
  constexpr float kTurn = 2.0F * std::numbers::pi_v<float>;
  return wrap_radians(std::arg(turn) - kTurn * reference_turns);
}

/// Which of `peaks` (rising in frequency) from `first` on lies nearest to `frequency_hz`, not taken
/// and at most `reach_hz` away; their number when none does.
std::size_t nearest_free(std::span<const Peak> peaks,
                         std::span<const bool> taken,
                         std::size_t first,
                         float frequency_hz,
                         float reach_hz) noexcept {
  std::size_t best = peaks.size();
  float best_distance = reach_hz;
  for (std::size_t j = first; j < peaks.size() && peaks[j].frequency_hz <= frequency_hz + reach_hz;
       ++j) {
    const float distance = std::abs(peaks[j].frequency_hz - frequency_hz);
    if (!taken[j] && distance <= best_distance) {
      best = j;
      best_distance = distance;
    }
  }
  return best;
}

}  // namespace

Tracks::Tracks(const Spectrum& spectrum, PeakRange range)
    : finder_{range, spectrum.bin_count()}, peaks_(kMaxPeaks), slots_(kMaxTracks) {
  for (Track& slot : slots_) {
    order_.push_back(&slot);
  }
}

void Tracks::advance(const Spectrum& spectrum) noexcept {
  peak_count_ = finder_.find(spectrum, peaks_);
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
    const std::size_t best =
        nearest_free({peaks_.data(), peak_count_}, taken, first, track.frequency_hz, reach_hz);
    if (best < peak_count_) {
      taken[best] = true;
    }
    extend(track, best < peak_count_ ? &peaks_[best] : nullptr, spectrum);
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
  const int settling_hops = static_cast<int>(std::ceil(1.0 / (width_hz * spectrum.hop_s())));
  if (peak != nullptr) {
    track.frequency_hz += kFollow * (peak->frequency_hz - track.frequency_hz);
    track.gap_hops = 0;
    ++track.seen_hops;
  } else {
    ++track.gap_hops;
  }
  const BetweenBins place{static_cast<float>(static_cast<double>(track.frequency_hz) / width_hz)};
  const std::complex<float> tone = place.read(spectrum.bins());
  // The step is known but for whole turns: those follow from where the track is now, which may be
  // far from where it was born.
  const double hop_s = spectrum.hop_s();
  const double turns = static_cast<double>(track.frequency_hz) * hop_s;
  const auto glided_hz = static_cast<double>(track.frequency_hz - track.reference_hz);
  const auto glided_rad = static_cast<float>(2.0 * std::numbers::pi * glided_hz * hop_s);
  const float last_phase = track.age_hops > 0 ? track.look(0).phase : 0.0F;
  Track::Look look;
  look.phase = last_phase + glided_rad +
               phase_step(tone,
                          place.read(spectrum.previous_bins()),
                          static_cast<float>(turns - std::round(turns)));
  look.level_dbfs = 10.0F * std::log10(std::norm(tone) + 1e-20F);
  if (peak != nullptr) {
    look.prominence_db = std::max(peak->prominence_db, 0.1F);
    track.impurity_db = peak->impurity_db;
  }
  track.looks[static_cast<std::size_t>(track.age_hops % Track::kHistory)] = look;
  ++track.age_hops;
  if (track.age_hops <= settling_hops) {
    track.settled_level_dbfs = look.level_dbfs;
  }
}

void Tracks::bear(const Peak& peak, const Spectrum& spectrum) noexcept {
  if (live_count_ == order_.size()) {
    return;  // more lines than slots is noise or a full band: the living go on
  }
  Track& track = *order_[live_count_++];
  track.id = next_id_++;
  track.age_hops = track.seen_hops = track.gap_hops = 0;
  track.evidence = 0.0F;
  track.standing = kNothingStands;
  track.ring_id = 0;
  track.reference_hz = track.frequency_hz = peak.frequency_hz;
  track.birth_level_dbfs = peak.level_dbfs;
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
  // Nearly sorted already: insertion is linear here.
  for (auto next = order_.begin(); next != living_end; ++next) {
    const auto place =
        std::upper_bound(order_.begin(), next, *next, [](const Track* a, const Track* b) {
          return a->frequency_hz < b->frequency_hz;
        });
    std::rotate(place, next, next + 1);
  }
}

}  // namespace brink::detector
