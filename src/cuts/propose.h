#pragma once

#include <span>
#include <vector>

#include "cuts/cut.h"

namespace brink::cuts {

/// What was measured of one ring, as far as its cut depends on it.
struct RingMeasurement {
  double frequency_hz = 0.0;       ///< > 0
  double frequency_sd_hz = 0.0;    ///< >= 0
  double growth_db_per_s = 0.0;    ///< while it grew in a straight line; 0 when it was not measured
  double start_s = 0.0;            ///< position in the stream where it began to grow
  double end_s = 0.0;              ///< position in the stream where it was gone
  double frequency_low_hz = 0.0;   ///< the range over which it glided; legal where it holds
  double frequency_high_hz = 0.0;  ///< frequency_hz, else there is none
  int returns = 0;                 ///< how often it came back although a cut for it was in place
};

/// What a measurement cannot tell, and the value that is assumed for it. Reasons and sources:
/// docs/method.md.
struct ProposeConfig {
  /// Group delay of the whole loop at the ring. Growth times this delay is the gain above the
  /// brink. 5 ms (wedge, one metre, analogue) to 150 ms (a hall with a T60 of 2 s) are both real.
  double loop_delay_s = 0.03;
  /// Stable gain to win beyond the excess. 2 to 3 dB keep a loop from audible ringing.
  double margin_db = 2.0;
  double step_db = 3.0;        ///< depths are whole steps
  double deepest_db = -12.0;   ///< if a deeper cut seems needed, cutting is the wrong remedy
  double drift_ratio = 0.005;  ///< warm air and a moved microphone shift a ring by up to this share
  double narrowest_q = 16.0;
  double widest_q = 4.0;
};

/// The growth that a cut may be made for once a ring is over. One that stayed under 80 % sure to
/// its end may owe its slope to a note's attack: 0, which asks for the least cut. Of the 15 such
/// among the labelled recordings (docs/validation.md) 6 are true, and by their true growth none
/// wants more than that.
[[nodiscard]] double trusted_growth(double growth_db_per_s, double confidence) noexcept;

/// The cut for one ring alone. Every finite measurement gives a legal cut: values out of range
/// become the nearest legal ones. Centre in whole Hz (tenths under 100 Hz), Q in tenths, depth in
/// whole steps.
[[nodiscard]] Cut propose_cut(const RingMeasurement& ring, const ProposeConfig& config = {});

/// A cut and the rings that it serves, as indices of the given rings.
struct SharedCut {
  Cut cut;
  std::vector<int> for_rings;
};

/// The cuts for all rings of one recording or round. Each place that rang gets one cut. A place
/// that rang more than once gets a cut one step deeper. Neighbours share one wider cut if this
/// takes less from the sound (depth times octaves) than one cut each. Cuts are rising in frequency.
/// Each ring is served by exactly one cut.
[[nodiscard]] std::vector<SharedCut> share_cuts(std::span<const RingMeasurement> rings,
                                                const ProposeConfig& config = {});

}  // namespace brink::cuts
