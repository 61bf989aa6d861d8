#pragma once

#include <optional>
#include <span>
#include <string>

#include "cuts/band.h"
#include "cuts/setting.h"
#include "cuts/target.h"

namespace brink::show {

/// What stands now of a cut that was logged: itself, or the nearest cut within a third-octave, as a
/// later round may have deepened or moved it. Nothing when none is left there.
[[nodiscard]] std::optional<cuts::Band> standing_cut(const cuts::Band& logged,
                                                     std::span<const cuts::Band> cuts);

/// What a graphic's fader of that centre is labelled: the nominal name of a third-octave, "1.6
/// kHz", where it is one.
[[nodiscard]] std::string band_name(double centre_hz);

/// To the last digit that counts: "2631 Hz Q 8 -6 dB", "high-pass 80 Hz"; of a graphic, whose
/// faders have names and no Q, "1.6 kHz -6 dB".
[[nodiscard]] std::string cut_text(const cuts::Band& cut,
                                   cuts::Target::Kind kind = cuts::Target::Kind::kParametric);

/// The same to read from afar: "2.63 kHz  Q 8  -6.0 dB", "high-pass 80.0 Hz", "1.6 kHz  -6.0 dB".
[[nodiscard]] std::string cut_words(const cuts::Band& cut, cuts::Target::Kind kind);

/// How many of a plan's cuts a listener could hear, as a sentence. Not of a setting without cuts.
[[nodiscard]] std::string audible_words(const cuts::Setting& setting);

}  // namespace brink::show
