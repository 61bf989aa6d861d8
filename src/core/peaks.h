#pragma once

#include <span>

#include "core/spectrum.h"

namespace brink::core {

/// A narrow maximum of one spectrum.
struct Peak {
  int bin = 0;
  float frequency_hz = 0.0F;
  float level_dbfs = 0.0F;     ///< of the sine that makes it: corrected for the lobe of the window
  float prominence_db = 0.0F;  ///< over the mean power 3 to 8 bins away on both sides
  float impurity_db =
      0.0F;  ///< power within 2 bins that the lobe of a steady tone leaves unexplained
};

/// Where peaks are looked for.
struct PeakRange {
  int lowest_bin = 8;
  int highest_bin = 0;  ///< both included; highest_bin + 8 must be a bin
};

/// Fills `peaks` with the narrow maxima of `spectrum` in rising frequency and returns how many. A
/// maximum counts when it stands kNarrowDb over both bins three away, where the lobe of a pure tone
/// has fallen by more than 30 dB. When there are more than fit, the quietest are left out.
/// Frequency: three-bin ratio 2 (c - a) / (a + 2 b + c) of the magnitudes, exact for a Hann window
/// without noise (interpolated DFT; the derivation follows from hann_lobe).
[[nodiscard]] int find_peaks(const Spectrum& spectrum,
                             PeakRange range,
                             std::span<Peak> peaks) noexcept;

}  // namespace brink::core
