#pragma once

#include "detector/scales.h"

namespace brink::detector {

/// Growth of a track now, from its newest looks; 0 for a track of one look.
[[nodiscard]] float growth_db_per_s(const Scale& scale, const Track& track) noexcept;

/// The straight lines of level and phase through the newest looks of a track, as many as rise or
/// fall 15 dB: a longer line would reach down into programme.
struct TrackLine {
  double now_db_per_s = 0.0;     ///< growth_db_per_s
  double growth_db_per_s = 0.0;  ///< of the line, or of the straight part before a limiter bent it
  bool is_straight = false;      ///< the newest looks go on as the line does
  double frequency_hz = 0.0;
  double frequency_sd_hz = 0.0;
};

/// A track of one look has no line: growth 0, its peak's frequency, a bin for the deviation.
/// Method: SlopeFit.
[[nodiscard]] TrackLine line_through(const Scale& scale, const Track& track) noexcept;

}  // namespace brink::detector
