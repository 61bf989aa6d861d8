#pragma once

#include <span>

#include "detector/measures.h"
#include "detector/scales.h"
#include "detector/sounding_rings.h"
#include "detector/standing.h"
#include "detector/tracks.h"

namespace brink::detector {

/// Sums for each track what its looks say for a ring, in nat-seconds.
///
/// Sequential detection: every look adds its log odds (rules.h, standing.h) times time to a sum
/// that never falls below 0 (E. S. Page, "Continuous inspection schemes", Biometrika 41, 1954,
/// after A. Wald's sequential test). A strong line is certain after a tenth of a second, a weak one
/// after a second of weak evidence. Constructing allocates, the rest does not. [analysis]
class Evidence {
 public:
  /// Once per hop, before the first add_look().
  void gather(const Scales& scales) noexcept;

  /// Adds what the newest look of `track` (of `scale`) says to Track::evidence, and sets
  /// Track::standing. Only every third look is judged. `sounding`: the ring that the track shows,
  /// or nullptr; `rings`: all that sound. Returns how many looks ago the line began that spoke for
  /// a ring, 0 when none was there.
  int add_look(const Scale& scale,
               Track& track,
               const SoundingRing* sounding,
               const SoundingRings& rings) noexcept;

 private:
  /// What one look says: log odds of the strongest line, and how many looks back it began.
  struct Growth {
    float log_odds = 0.0F;
    int looks = 0;  ///< 0: nothing has grown
    float db_per_s = 0.0F;
  };

  [[nodiscard]] Growth strongest_growth(const Scale& scale, const Track& track) const noexcept;

  Surroundings surroundings_;
  Standing standing_;
};

}  // namespace brink::detector
