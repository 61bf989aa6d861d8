#pragma once

#include <vector>

namespace brink::cuts {

/// low, and on by equal ratios, `steps_per_octave` to an octave, to high at most. 0 < low <= high.
[[nodiscard]] std::vector<double> even_ratio_grid(double low, double high, double steps_per_octave);

/// The IEC 61260-1 base-ten centres from 20 Hz to 20 kHz: every third-octave (1), or every octave
/// (3) from 31.5 Hz on, 1 kHz among them.
[[nodiscard]] std::vector<double> iec_grid(int third_octaves_apart);

/// Q of a graphic's bands: a peaking filter whose half-depth points are the edges of the band, 4.32
/// for a third-octave, 1.41 for an octave. Graphics differ among themselves; this is the constant-Q
/// kind.
[[nodiscard]] double graphic_band_q(int third_octaves_apart);

}  // namespace brink::cuts
