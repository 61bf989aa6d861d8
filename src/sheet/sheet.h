#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

#include "show/guess_record.h"
#include "show/show_record.h"

namespace brink::sheet {

/// The most cuts and the most rounds of an output that a sheet holds; a real one has about 10.
inline constexpr std::size_t kMostSheetRounds = 1000;

/// The sheet of a show as one HTML page that needs nothing else: no script, no font, no picture
/// from elsewhere. For each output what to set, what rang and what each round won, each as a
/// picture, a table and words that say the same. Prints on A4, reads at 360 pixels. It is
/// well-formed XML too. Text of the record is escaped whatever is in it; numbers that are not
/// finite read "not known"; a target that cannot be read is named and its steps are left out.
/// Throws base::Error when an output has more than kMostSheetRounds cuts or rounds. [any]
[[nodiscard]] std::string sheet_html(const show::ShowRecord& show);

/// How a trainee's ear does: error by third-octave and by week, hits, time, octave slips. Of the
/// guesses those of `trainee`, in any order. The same kind of page. [any]
[[nodiscard]] std::string ear_sheet_html(std::span<const show::GuessRecord> guesses,
                                         std::string_view trainee);

/// How both begin, by which `brink book sheet` knows them again.
[[nodiscard]] std::string sheet_beginning();

}  // namespace brink::sheet
