#pragma once

#include <span>
#include <vector>

namespace brink::bench {

// The published measures, as printed in
// S1: T. van Waterschoot, M. Moonen, "Fifty Years of Acoustic Feedback Control: State of the Art
//     and Future Challenges", Proc. IEEE 99(2), 288-327, 2011, equations 41-51 and 105-106;
// S2: M. Mounir, G. Bernardi, T. van Waterschoot, "Robust and early howling detection based on a
//     sparsity measure", EURASIP J. Audio Speech Music Proc. 2025, equations 20-21.
// Each takes levels in dB or powers (magnitude squared), bin by bin, no scaling needed.

/// Silence in these measures: far below any sound, yet a number.
inline constexpr double kFloorDb = -200.0;

[[nodiscard]] double to_db(double power) noexcept;

/// Peak to average power, dB, with the average over the two-sided transform of `size_samples` that
/// `power` is the one-sided half of.
[[nodiscard]] double papr_db(std::span<const float> power, std::size_t bin, int size_samples);

/// Peak to (sub)harmonic power, dB: bin against the bin nearest to `multiple` times its frequency.
/// Beyond the last bin there is nothing to be louder than: +200 dB.
[[nodiscard]] double phpr_db(std::span<const float> power, std::size_t bin, double multiple);

/// Share (0 or 1/2 or 1) of the two sides on which the mean of PNPR over the neighbours 2 to 7 bins
/// away is at least 15 dB; one term of S1's peakness, which is the mean of it over 8 looks.
[[nodiscard]] double sides_above_neighbours(std::span<const float> power, std::size_t bin);

/// Deviation of the slope over the newest levels, newest first: levels_db[j] is j hops back and
/// Q_M = size - 1. Zero for any straight line.
[[nodiscard]] double imsd_db(std::span<const double> levels_db);

/// 0.7 exp(-|IMSD|) + 0.3 peakness (S1 equations 105-106).
[[nodiscard]] double fep(double imsd, double peakness);

/// Sparsity over time of one bin's newest values (>= 0): 0 when one look has everything, 1 when all
/// are equal. All zero reads 0.
[[nodiscard]] double ninos2_t(std::span<const float> values);

/// The `count` largest local maxima of `power` from `lowest_bin` on, largest first.
[[nodiscard]] std::vector<std::size_t> largest_peaks(std::span<const float> power,
                                                     std::size_t lowest_bin,
                                                     std::size_t count);

/// Frequency in bins from three magnitudes, S1 section V-B: k + (c - a) / (a + b + c).
[[nodiscard]] double three_bin_position(std::span<const float> power, std::size_t bin);

}  // namespace brink::bench
