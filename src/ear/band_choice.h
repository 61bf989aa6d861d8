#pragma once

#include <array>
#include <span>
#include <string_view>

#include "show/guess_record.h"

namespace brink::ear {

/// The third-octaves that are trained: 125 Hz to 8 kHz, by base::third_octave_index. Rings are
/// found between about 200 Hz and 5 kHz (S. Braun, IEM Graz, 2012); there is a band or two more on
/// either side.
inline constexpr int kFirstEarBand = -9;
inline constexpr int kLastEarBand = 9;
inline constexpr int kEarBandCount = kLastEarBand - kFirstEarBand + 1;

/// So many of a trainee's latest guesses in a band count.
inline constexpr int kBandMemory = 8;

/// Each band's share of the exercises; the sum is 1. The rule is our own: a band's weight is its
/// expected rate of misses, (misses + 1) / (guesses + 2) (Laplace's rule of succession), over the
/// newest kBandMemory guesses in it. A guess is a miss if it is more than a third-octave away. So a
/// band that was never heard weighs 1/2. A band missed eight times in a row weighs 9/10, and one
/// hit eight times 1/10, so no band disappears. `guesses`: oldest first. Guesses of other trainees
/// do not count.
[[nodiscard]] std::array<double, kEarBandCount> band_shares(
    std::span<const show::GuessRecord> guesses, std::string_view trainee);

/// The band that belongs to a number 0 <= `uniform` < 1.
[[nodiscard]] int choose_band(const std::array<double, kEarBandCount>& shares,
                              double uniform) noexcept;

}  // namespace brink::ear
