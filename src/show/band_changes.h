#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/band.h"
#include "cuts/target.h"

namespace brink::show {

/// What becomes of one band of an equaliser.
struct BandChange {
  std::optional<cuts::Band> was;  ///< nothing: a band that was free
  std::optional<cuts::Band> now;  ///< nothing: the cut is taken out

  friend bool operator==(const BandChange&, const BandChange&) = default;
};

/// All that differs between two settings, rising in frequency: what has to be set by hand. A cut
/// that moved is one change, as the nearest of the cuts that were there.
[[nodiscard]] std::vector<BandChange> band_changes(std::span<const cuts::Band> before,
                                                   std::span<const cuts::Band> after);

/// "2.63 kHz  Q 8  -6.0 dB, new", "1.6 kHz  -6.0 dB, was -3.0 dB", "400 Hz  -3.0 dB, taken out".
[[nodiscard]] std::string change_words(const BandChange& change, cuts::Target::Kind kind);

}  // namespace brink::show
