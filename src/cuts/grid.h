#pragma once

#include <vector>

namespace brink::cuts {

/// Frequencies from `low` up to `high` at most, `steps_per_octave` to an octave. Each is the one
/// before times the same ratio. 0 < low <= high.
[[nodiscard]] std::vector<double> even_ratio_grid(double low, double high, double steps_per_octave);

/// The IEC 61260-1 base-ten centres from 20 Hz to 20 kHz. With 1: every third-octave. With 3: every
/// octave from 31.5 Hz on, 1 kHz among them.
[[nodiscard]] std::vector<double> iec_grid(int third_octaves_apart);

/// Q of a graphic's bands. The half-depth points of the peaking filter are the edges of the band
/// (IEC 61260-1, base ten): 4.333 for a third-octave, 1.419 for an octave. Graphics differ among
/// themselves; this is the constant-Q kind.
[[nodiscard]] double graphic_band_q(int third_octaves_apart);

}  // namespace brink::cuts
