#pragma once

#include <span>
#include <string>

#include "cuts/cut.h"
#include "cuts/target.h"
#include "detector/ring.h"

namespace brink::panel {

/// "cut 2.63 kHz  Q 8  -6.0 dB" as show::cut_words() has it, several joined; a sentence when there
/// is none.
[[nodiscard]] std::string cut_words(std::span<const cuts::Cut> cuts, cuts::Target::Kind kind);

/// "+35 dB/s"; slow ones with a tenth.
[[nodiscard]] std::string growth_words(double growth_db_per_s);

/// The present growth of a ring in a state: the number where it goes the way that the state says
/// (up while building or ringing, down while fading), or else a word, as a ring at the limiter
/// stands still and one may turn before its state does. Nothing when it is gone.
[[nodiscard]] std::string growth_words(detector::RingState state, double growth_db_per_s);

/// "0:10.6", "1:02:03.4": a place in a recording.
[[nodiscard]] std::string place_words(double seconds);

/// Nominal name of a third-octave (IEC 61260-1) from 50 Hz, band -13, to 16 kHz, band 12, by
/// base::third_octave_index: "315", "1k", "12.5k".
[[nodiscard]] std::string band_name(int band);

/// "01:02:03".
[[nodiscard]] std::string clock_words(double seconds);

}  // namespace brink::panel
