#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "ear/score.h"
#include "show/guess_record.h"

namespace brink::ear {

/// Some guesses of one trainee, summed up.
struct GuessSummary {
  int count = 0;
  double median_error_cents = 0.0;  ///< of the size of the error, never finer than hearing
  double mean_error_cents = 0.0;    ///< of the same
  double hit_share = 0.0;           ///< within a third-octave
  double median_took_s = 0.0;
};

/// Of one third-octave (base::third_octave_index of the truth), one week, or both.
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

/// How far guesses are off in whole octaves, right otherwise (octave_slip); hits in the middle.
struct OctaveCounts {
  static constexpr int kMost = kMostOctaveSlip;

  std::array<int, 2 * kMost + 1> counts{};  ///< -2 (guessed too low) to +2
  int none = 0;                             ///< off by something else
};

/// A trainee's progress: rising in band, in week, in week then band; nothing where there were no
/// guesses.
struct EarProgress {
  std::string trainee;
  GuessSummary all;
  std::vector<BandSummary> bands;
  std::vector<WeekSummary> weeks;
  std::vector<BandWeekSummary> cells;
  OctaveCounts octaves;
};

/// From the book's guesses, in any order and of any trainee. A record whose time of day cannot be
/// read has the week "?".
[[nodiscard]] EarProgress progress_of(std::span<const show::GuessRecord> guesses,
                                      std::string_view trainee);

/// The ISO 8601 week of an ISO 8601 time, local as it is written; "?" when it cannot be read.
[[nodiscard]] std::string week_of(std::string_view guessed_at);

/// Every guess of a trainee as CSV, oldest first as given, a head line first (docs/ear.md).
[[nodiscard]] std::string guesses_csv(std::span<const show::GuessRecord> guesses,
                                      std::string_view trainee);

/// The cells of a trainee's progress as CSV, a head line first: week, band, count, errors, hits,
/// time.
[[nodiscard]] std::string progress_csv(const EarProgress& progress);

}  // namespace brink::ear
