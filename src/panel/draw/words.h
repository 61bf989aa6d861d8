#pragma once

#include <span>
#include <string>

#include "cuts/cut.h"
#include "cuts/target.h"
#include "detector/ring.h"

namespace brink::panel {

/// The cuts in the words of show::cut_words(), joined: "cut 2.63 kHz  Q 8  -6.0 dB". A sentence
/// when there are no cuts.
[[nodiscard]] std::string cut_words(std::span<const cuts::Cut> cuts, cuts::Target::Kind kind);

/// "+35 dB/s"; slow growth has one decimal.
[[nodiscard]] std::string growth_words(double growth_db_per_s);

/// The present growth of a ring. It is a number if the growth fits the state: up while building or
/// ringing, down while fading. Otherwise it is a word. A ring at the limiter stands still, and a
/// ring may turn before its state changes. Empty when the ring is gone.
[[nodiscard]] std::string growth_words(detector::RingState state, double growth_db_per_s);

/// "0:10.6", "1:02:03.4": a place in a recording.
[[nodiscard]] std::string place_words(double seconds);

/// Nominal name of a third-octave (IEC 61260-1): "315", "1k", "12.5k". `band` is as in
/// base::third_octave_index: -13 (50 Hz) to 12 (16 kHz).
[[nodiscard]] std::string band_name(int band);

/// "01:02:03".
[[nodiscard]] std::string clock_words(double seconds);

}  // namespace brink::panel
