#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "detector/scales.h"
#include "detector/tracks.h"

namespace brink::detector {

/// Looks over which a line is tried, in hops: short ones for a fast ring, long ones for a slow.
inline constexpr std::array<int, 8> kSpans{12, 18, 27, 40, 60, 90, 135, 200};

/// What a track looked like over one span of looks. A ring is one complex exponential in the room's
/// own noise: its level in dB and its phase are straight lines, and nothing else moves with it.
struct Measures {
  // The line of level against time, least squares.
  float span_s = 0.0F;
  float rise_db = 0.0F;      ///< slope times span
  float residual_db = 0.0F;  ///< root mean square distance of the level from its line
  float bow_db = 0.0F;   ///< height of the parabola through the residuals; < 0 bends like an attack
  float lean_db = 0.0F;  ///< first half's rise minus the second half's
  float step_db = 0.0F;  ///< the largest rise within four hops
  float held_s = 0.0F;   ///< since then at its highest level, as a ring stays at the limiter
  // The line of phase against time.
  float frequency_hz = 0.0F;
  float wobble_rad = 0.0F;  ///< root mean square distance of the phase from its line
  float drift_hz = 0.0F;    ///< change of frequency over the span, from the parabola
  // How the line stands in its spectrum.
  float level_dbfs = 0.0F;
  float prominence_db = 0.0F;   ///< mean over the span
  float impurity_db = 0.0F;     ///< what the lobe of a pure tone leaves unexplained, now
  float seen_share = 0.0F;      ///< share of the looks with a peak
  float since_birth_db = 0.0F;  ///< level now minus at birth
  float age_s = 0.0F;
  // What else there is.
  float over_others_db = 0.0F;  ///< level over the loudest other line
  float band_share_db = 0.0F;   ///< level over all power of its third-octave
  float total_rise_db = 0.0F;   ///< rise of the whole spectrum over the same span
  float risers = 0.0F;          ///< other lines that rise along, within 25 dB below it
  float fundamental_db = 0.0F;  ///< loudest line at a whole fraction of it, relative to it
  float fundamental_rise_db = 0.0F;
  float partial_db = 0.0F;  ///< loudest line at a whole multiple of it, relative to it
  float partial_rise_db = 0.0F;
  float born_along = 0.0F;  ///< other lines born within 50 ms of it, within 25 dB below it
  float neighbours = 0.0F;  ///< other lines within an octave either side, within 25 dB below it
  float in_tune =
      0.0F;  ///< 1: whole semitones from those neighbours; -1: quarter tones; 0: no matter
};

/// The lines around one track, as they stand now; indices into the lines of Surroundings, or -1.
struct Company {
  float loudest_dbfs = -200.0F;
  int fundamental = -1;  ///< loudest line at a whole fraction of the track's frequency
  int partial = -1;      ///< loudest line at a whole multiple
  float born_along = 0.0F, neighbours = 0.0F, in_tune = 0.0F;  ///< as in Measures
};

/// Everything that a track is judged against, gathered once per hop. [analysis]
class Surroundings {
 public:
  Surroundings();

  void gather(std::span<const Scale> scales) noexcept;

  /// Calls visit(measures, looks) for each line of `track` (of `scale`) worth judging now: those
  /// that end now, and those that ended when the track reached the level that it has held since.
  /// `looks`: how many looks back the line began. None while no peak stands there.
  template <typename Visit>
  void for_each_line(const Scale& scale, const Track& track, Visit visit) const noexcept;

 private:
  /// Lines of all scales, each from the scale that speaks for its frequency; one column per
  /// quantity.
  struct Lines {
    std::vector<float> frequency_hz, level_dbfs, semitones, age_hops;
    std::array<std::vector<float>, kSpans.size()> rise_db;  ///< over each span, or since birth
  };

  void add_line(const Track& track) noexcept;
  [[nodiscard]] Company company_of(const Track& track) const noexcept;
  void meet(const Track& track, Company& company) const noexcept;
  /// Over kSpans[span_index] looks that end `end_hops` ago.
  [[nodiscard]] Measures measure(const Scale& scale,
                                 const Track& track,
                                 const Company& company,
                                 std::size_t span_index,
                                 int end_hops) const noexcept;
  void describe_company(const Track& track,
                        const Company& company,
                        std::size_t span_index,
                        Measures& measures) const noexcept;

  Lines lines_;
  std::size_t count_ = 0;
  std::array<float, Track::kHistory> total_db_{};
  int hops_ = 0;
};

/// Hops since the track reached its highest level, if it has stayed there since; 0 otherwise.
[[nodiscard]] int held_hops(const Track& track) noexcept;

/// Whether `track` rose enough for a line over kSpans[span_index] looks that ended `end_hops` ago.
[[nodiscard]] bool has_line(const Scale& scale,
                            const Track& track,
                            std::size_t span_index,
                            int end_hops) noexcept;

template <typename Visit>
void Surroundings::for_each_line(const Scale& scale,
                                 const Track& track,
                                 Visit visit) const noexcept {
  if (!track.look(0).is_peak()) {
    return;
  }
  constexpr int kShortestHold = 6;  // hops: less is the line that ends now
  const int held = held_hops(track);
  const std::array<int, 2> ends{0, held};
  std::optional<Company> company;
  for (std::size_t round = 0; round < (held >= kShortestHold ? 2U : 1U); ++round) {
    const int end = ends[round];
    for (std::size_t i = 0; i < kSpans.size() && track.history_hops() > kSpans[i] + end; ++i) {
      if (!has_line(scale, track, i, end)) {
        continue;
      }
      if (!company) {
        company = company_of(track);
      }
      visit(measure(scale, track, *company, i, end), kSpans[i] + end);
    }
  }
}

}  // namespace brink::detector
