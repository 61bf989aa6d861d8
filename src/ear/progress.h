#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "ear/score.h"
#include "show/guess_record.h"

namespace brink::ear {

/// Some guesses of one trainee, in summary.
struct GuessSummary {
  int count = 0;
  double median_error_cents = 0.0;  ///< of the size of the error, but not finer than hearing
  double mean_error_cents = 0.0;    ///< of the same sizes
  double hit_share = 0.0;           ///< share of guesses within a third-octave
  double median_took_s = 0.0;
};

/// Summary of one third-octave (base::third_octave_index of the truth), of one week, or of one band
/// in one week.
struct BandSummary {
  int band = 0;
  GuessSummary summary;
};

struct WeekSummary {
  std::string week;  ///< ISO 8601: "2026-W48"
  GuessSummary summary;
};

struct BandWeekSummary {
  std::string week;
  int band = 0;
  GuessSummary summary;
};

/// How many guesses were right except for whole octaves (octave_slip). The hits are in the middle.
struct OctaveCounts {
  static constexpr int kMost = kMostOctaveSlip;

  std::array<int, 2 * kMost + 1> counts{};  ///< -2 (guessed too low) to +2
  int none = 0;                             ///< guesses with any other error
};

/// So many guesses carry a figure of information: below, guesses at random seem to tell more than
/// 0.1 bits (own simulation).
inline constexpr int kFewestForBits = 100;

/// A trainee's progress. Rising in band, in week, and in week then band. There are no entries
/// without guesses.
struct EarProgress {
  std::string trainee;
  GuessSummary all;
  std::vector<BandSummary> bands;
  std::vector<WeekSummary> weeks;
  std::vector<BandWeekSummary> cells;
  OctaveCounts octaves;
  /// What the answers tell of the truth, in bits: the mutual information of the octave that was
  /// heard and the octave that was named, with the correction of Miller (1955) and Madow for few
  /// guesses. Finer bands would tell more, so it is a lower bound. Nothing below kFewestForBits.
  std::optional<double> octave_bits;
};

/// Made from the book's guesses, in any order and of any trainee. A record whose time of day cannot
/// be read has the week "?".
[[nodiscard]] EarProgress progress_of(std::span<const show::GuessRecord> guesses,
                                      std::string_view trainee);

/// The ISO 8601 week of an ISO 8601 time, in its own local time. "?" when the time cannot be read.
[[nodiscard]] std::string week_of(std::string_view guessed_at);

/// Every guess of a trainee as CSV, after a header line. The order is that of `guesses`, oldest
/// first (docs/ear.md).
[[nodiscard]] std::string guesses_csv(std::span<const show::GuessRecord> guesses,
                                      std::string_view trainee);

/// The cells of a trainee's progress as CSV, after a header line: week, band, count, errors, hits,
/// time.
[[nodiscard]] std::string progress_csv(const EarProgress& progress);

}  // namespace brink::ear
