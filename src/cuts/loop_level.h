#pragma once

#include <complex>
#include <vector>

#include "cuts/loop_gain.h"
#include "cuts/setting.h"

namespace brink::cuts {

/// What a setting does to a loop, in full precision: loop times filter sections at every point that
/// can matter. For settings that amplify nowhere. The loop's values must outlive this object.
class LoopLevel {
 public:
  /// `sample_rate_hz`: of the equaliser. Constructing allocates.
  LoopLevel(const LoopGain& loop, double sample_rate_hz);

  /// Crossings within `range_db` (at most 3) of the highest, highest first.
  [[nodiscard]] std::vector<Crossing> crossings(const Setting& setting, double range_db) const;

  /// Level of the highest crossing, dB. kSilenceDb when the phase never is a whole turn.
  [[nodiscard]] double highest_db(const Setting& setting) const;

 private:
  /// A stretch of neighbouring points.
  struct Run {
    std::size_t first = 0;
    std::vector<std::complex<double>> z1;  // exp(-i w) at each point
  };

  LoopGain loop_;
  double sample_rate_hz_;
  std::vector<Run> runs_;
};

}  // namespace brink::cuts
