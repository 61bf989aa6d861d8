#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "detector/spectrum.h"

namespace brink::detector {

/// A narrow maximum of one spectrum.
struct Peak {
  int bin = 0;
  float frequency_hz = 0.0F;
  float level_dbfs = 0.0F;     ///< of the sine that makes it: corrected for the lobe of the window
  float prominence_db = 0.0F;  ///< over the mean power 3 to 8 bins away on both sides
  float impurity_db =
      0.0F;  ///< power within 2 bins that the lobe of a steady tone leaves unexplained
};

/// Where peaks are looked for, both ends included; clipped to where a peak has 8 bins on each side.
struct PeakRange {
  int lowest_bin = 0;
  int highest_bin = 0;
};

/// Finds the narrow maxima of a spectrum. A maximum counts when it stands 9 dB over both bins three
/// away, where the lobe of a pure tone has fallen by more than 30 dB. Frequency: three-bin ratio
/// 2 (c - a) / (a + 2 b + c) of the magnitudes, exact for a Hann window without noise (interpolated
/// DFT; it follows from hann_lobe). Constructing allocates, find() does not. [analysis]
class PeakFinder {
 public:
  PeakFinder(PeakRange range, int bin_count);

  /// Fills `peaks` in rising frequency and returns how many; the quietest are left out when there
  /// are more than fit. Silence gives none.
  [[nodiscard]] std::size_t find(const Spectrum& spectrum, std::span<Peak> peaks) noexcept;

 private:
  std::size_t lowest_, highest_;
  std::vector<std::uint8_t> is_maximum_;  ///< per bin
};

}  // namespace brink::detector
