#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "detector/peaks.h"
#include "detector/spectrum.h"

namespace brink::detector {

/// Track::standing while there is no standing line to judge.
inline constexpr float kNothingStands = -10.0F;

/// Peaks of one frequency linked over hops, with what the spectrum held there when no peak stood
/// out.
struct Track {
  static constexpr int kHistory = 256;  ///< hops kept: 4 s at a hop of 16 ms

  struct Look {
    float level_dbfs = 0.0F;
    float phase = 0.0F;  ///< radians gained against `reference_hz`, summed from the birth on
    float prominence_db = 0.0F;  ///< 0 when no peak stood out

    [[nodiscard]] bool is_peak() const noexcept { return prominence_db > 0.0F; }
  };

  std::uint32_t id = 0;       ///< unique within one Tracks; 0 is an empty slot
  float reference_hz = 0.0F;  ///< frequency at birth
  float frequency_hz = 0.0F;  ///< now
  float birth_level_dbfs = 0.0F;
  float settled_level_dbfs = 0.0F;  ///< when a window was full of it; a note has its level then
  float impurity_db = 0.0F;         ///< of its newest peak
  int age_hops = 0;                 ///< looks taken so far, more than kHistory possible
  int seen_hops = 0;                ///< of them, with a peak
  int gap_hops = 0;                 ///< looks since the last peak
  float evidence = 0.0F;            ///< for a ring, as Rings sums it
  float standing = kNothingStands;  ///< log odds that it stands as a loop at its brink does, newest
  std::uint32_t ring_id = 0;        ///< the ring that it carries, 0 for none
  std::array<Look, kHistory> looks;

  /// `back` hops ago, 0 is now; back < age_hops and back < kHistory.
  [[nodiscard]] const Look& look(int back) const noexcept {
    return looks[static_cast<std::size_t>((age_hops - 1 - back) % kHistory)];
  }

  [[nodiscard]] int history_hops() const noexcept {
    return age_hops < kHistory ? age_hops : kHistory;
  }
};

/// Follows the peaks of one Spectrum. Constructing allocates, advance() does not. [analysis]
class Tracks {
 public:
  static constexpr std::size_t kMaxTracks = 192;

  Tracks(const Spectrum& spectrum, PeakRange range);

  /// After each Spectrum::advance.
  void advance(const Spectrum& spectrum) noexcept;

  /// Every slot that lives, in rising frequency.
  [[nodiscard]] std::span<Track* const> live() const noexcept {
    return {order_.data(), live_count_};
  }

  [[nodiscard]] std::span<const Peak> peaks() const noexcept {
    return {peaks_.data(), peak_count_};
  }

 private:
  void extend(Track& track, const Peak* peak, const Spectrum& spectrum) noexcept;
  void bear(const Peak& peak, const Spectrum& spectrum) noexcept;
  void bury_and_sort() noexcept;

  PeakFinder finder_;
  std::vector<Peak> peaks_;
  std::size_t peak_count_ = 0;
  std::vector<Track> slots_;
  std::vector<Track*> order_;  ///< permutation of the slots: the living first, by frequency
  std::size_t live_count_ = 0;
  std::uint32_t next_id_ = 1;
};

}  // namespace brink::detector
