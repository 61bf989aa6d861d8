#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/guess_record.h"

namespace brink::app {

/// What some guesses come to. Errors in third-octaves of base ten, whichever the side. Of an even
/// number of guesses the median is the mean of the middle two.
struct GuessSum {
  std::size_t count = 0;
  std::size_t hits = 0;  ///< within a third-octave: at most one off
  std::size_t slips_up = 0;
  std::size_t slips_down = 0;
  double median_bands = 0.0;
  double median_took_s = 0.0;

  [[nodiscard]] double hit_percent() const {
    return count == 0 ? 0.0 : 100.0 * static_cast<double>(hits) / static_cast<double>(count);
  }
};

struct EarSheetFacts {
  GuessSum all;
  std::map<int, GuessSum> by_band;          ///< by core::third_octave_index of what rang
  std::map<std::string, GuessSum> by_week;  ///< by the date of its Monday
  std::size_t left_out = 0;                 ///< without a frequency that is one
};

/// Of the guesses those of `trainee`.
[[nodiscard]] EarSheetFacts ear_sheet_facts(std::span<const io::GuessRecord> guesses,
                                            std::string_view trainee);

}  // namespace brink::app
