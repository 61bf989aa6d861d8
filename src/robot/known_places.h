#pragma once

#include <span>
#include <vector>

#include "cuts/planner.h"

namespace brink::robot {

/// A place that rang, as heard in one round.
struct RangPlace {
  double frequency_hz = 0.0;
  double growth_db_per_s = 0.0;
  double brink_db = 0.0;  ///< estimated fader at which this place is at the brink
  bool is_certain = false;
  double delay_s = 0.0;  ///< of the loop there, measured or that of the other rings
};

/// Everything that rang while one output is rung out. For each place it holds how high the loop is
/// there with a flat equaliser, whatever was set when it rang. All cuts are chosen again from all
/// places in every round.
class KnownPlaces {
 public:
  explicit KnownPlaces(double sample_rate_hz) : sample_rate_hz_(sample_rate_hz) {}

  /// Adds what rang while `setting` was in the loop. A place that rang before keeps the higher
  /// level.
  void add(std::span<const RangPlace> rung, const cuts::Setting& setting);

  /// Cuts that bring every known place below the brink with the fader at `fader_db`.
  [[nodiscard]] cuts::Plan plan(double fader_db, const cuts::Target& target, int most_moves) const;

 private:
  struct Place {
    double frequency_hz = 0.0;
    double level_db = 0.0;  ///< loop gain with a flat equaliser and the fader at 0 dB
  };

  double sample_rate_hz_;
  std::vector<Place> places_;
};

}  // namespace brink::robot
