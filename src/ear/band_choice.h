#pragma once

#include <array>
#include <span>
#include <string_view>

#include "show/guess_record.h"

namespace brink::ear {

/// Third-octaves that are trained: 125 Hz to 8 kHz, by base::third_octave_index. Rings are found
/// between about 200 Hz and 5 kHz (S. Braun, IEM Graz, 2012); a band or two more on either side.
inline constexpr int kFirstEarBand = -9;
inline constexpr int kLastEarBand = 9;
inline constexpr int kEarBandCount = kLastEarBand - kFirstEarBand + 1;

/// How many of a trainee's latest guesses in a band count.
inline constexpr int kBandMemory = 8;

/// Share of the drawings that each band gets, 1 in all. The rule is ours: a band's weight is its
/// expected rate of misses after the newest kBandMemory guesses in it, (misses + 1) / (guesses + 2)
/// (Laplace's rule of succession), a miss being farther than a third-octave off. So a band never
/// heard weighs 1/2, one missed eight times in a row 9/10, one hit eight times 1/10: it never quite
/// goes away. `guesses`: oldest first; those of other trainees are left out.
[[nodiscard]] std::array<double, kEarBandCount> band_shares(
    std::span<const show::GuessRecord> guesses, std::string_view trainee);

/// The band that a number 0 <= `uniform` < 1 falls on.
[[nodiscard]] int choose_band(const std::array<double, kEarBandCount>& shares,
                              double uniform) noexcept;

}  // namespace brink::ear
