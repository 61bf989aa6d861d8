#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "detector/ring.h"
#include "detector/scales.h"
#include "detector/tracks.h"

namespace brink::detector {

/// A ring that sounds, and what it takes to follow it.
struct SoundingRing {
  Ring ring;
  double rise_db_per_s = 0.0;  ///< slope of the growth, kept while it fades
  double line_sd_hz = 0.0;     ///< of ring.frequency_hz, as far as noise alone blurs its line
  float evidence = 0.0F;       ///< the most so far
  int unseen_hops = 0;
  int fading_hops = 0;
  const Track* lead = nullptr;  ///< the track that shows it best now
  const Scale* lead_scale = nullptr;
  std::uint32_t last_lead = 0;  ///< Track::id in lead_scale that showed it before
};

/// The rings that sound now: which of them a line belongs to, and what a limiter makes of them.
/// Constructing allocates, the rest does not. [analysis]
class SoundingRings {
 public:
  static constexpr std::size_t kMost = 64;

  SoundingRings();

  /// One more, nullptr when there are kMost. Pointers to the others stay valid.
  SoundingRing* add() noexcept;
  /// Forgets those whose state says that they are over. Pointers are not valid after that.
  void drop_those_over() noexcept;

  [[nodiscard]] auto begin() noexcept { return rings_.begin(); }

  [[nodiscard]] auto end() noexcept { return rings_.end(); }

  void clear() noexcept { rings_.clear(); }

  /// nullptr when no ring with this id sounds.
  [[nodiscard]] const Ring* find(std::uint32_t id) const noexcept;

  /// Whether one of them is flagged.
  [[nodiscard]] bool any_flagged() const noexcept;

  /// The ring that `track` showed last: it stays that ring's, wherever it glides.
  SoundingRing* led_by(const Scale& scale, const Track& track) noexcept;

  /// The ring whose line `track` is. `other_than` is left out.
  SoundingRing* at(const Scale& scale,
                   const Track& track,
                   const SoundingRing* other_than = nullptr) noexcept;

  /// Whether a line there would be what a limiter makes of the rings that are flagged and loud.
  [[nodiscard]] bool is_product(float frequency_hz, float level_dbfs) const noexcept;

  /// Whether a loud ring elsewhere keeps a limiter busy: what that makes of it and of the programme
  /// stands too.
  [[nodiscard]] bool is_covered(const Track& track) const noexcept;

  /// Whether no flagged ring is louder by 12 dB.
  [[nodiscard]] bool is_lead(const Ring& ring) const noexcept;

  /// Whether a ring at its limiter is so much louder that nobody can tell this one from what the
  /// limiter makes. A true ring rises on and is flagged a little later.
  [[nodiscard]] bool is_far_covered(const Ring& ring) const noexcept;

 private:
  [[nodiscard]] static bool has_peak(const Scale& scale, std::uint32_t ring_id) noexcept;

  std::vector<SoundingRing> rings_;
};

}  // namespace brink::detector
