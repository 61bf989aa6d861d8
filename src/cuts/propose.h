#pragma once

#include <span>
#include <vector>

#include "cuts/cut.h"

namespace brink::cuts {

/// What was measured of one ring, as far as a cut follows from it.
struct RingMeasurement {
  double frequency_hz = 0.0;     ///< > 0
  double frequency_sd_hz = 0.0;  ///< >= 0
  double growth_db_per_s = 0.0;  ///< of the straight growth; 0 when it was not measured
  double start_s = 0.0;          ///< where in the stream it began to grow
  double end_s = 0.0;            ///< where it was gone
  int returns = 0;               ///< times it came back although a cut was already in place for it
};

/// What a measurement cannot tell, with the value assumed. Reasons and sources: docs/method.md.
struct ProposeConfig {
  /// Group delay of the whole loop at the ring. Growth times this is the gain in excess of the
  /// brink. 5 ms (wedge, one metre, analogue) to 150 ms (a hall with a T60 of 2 s) are both real.
  double loop_delay_s = 0.03;
  /// Stable gain to win beyond the excess; 2 to 3 dB keep a loop from audible ringing.
  double margin_db = 2.0;
  double step_db = 3.0;        ///< depths are whole steps
  double deepest_db = -12.0;   ///< beyond this, cutting is the wrong remedy
  double drift_ratio = 0.005;  ///< warm air and a moved microphone shift a ring by this much
  double narrowest_q = 16.0;
  double widest_q = 4.0;
};

/// The cut for one ring taken by itself. Every finite measurement gives a legal cut; values out of
/// range are moved to the nearest legal one. Centre in whole Hz (tenths under 100 Hz), Q in tenths,
/// depth in whole steps.
[[nodiscard]] Cut propose_cut(const RingMeasurement& ring, const ProposeConfig& config = {});

/// A cut and the rings it serves, as indices into what was given.
struct SharedCut {
  Cut cut;
  std::vector<int> for_rings;
};

/// The cuts for all rings of one recording or round: one for each place that rang. A place that
/// rang more than once gets one cut, a step deeper; neighbours share one wider cut where that takes
/// less away from the sound (depth times octaves) than a cut each. Rising in frequency; every ring
/// is served by exactly one.
[[nodiscard]] std::vector<SharedCut> share_cuts(std::span<const RingMeasurement> rings,
                                                const ProposeConfig& config = {});

}  // namespace brink::cuts
