#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "detector/ring.h"

namespace brink::taps {

/// A ring as one tap's detector has it.
struct TapRing {
  std::size_t tap = 0;  ///< number of the tap, from 0
  detector::Ring ring;  ///< as of its newest event
};

[[nodiscard]] inline bool is_certain(const detector::Ring& ring) noexcept {
  return ring.flagged_sample != detector::kNever;
}

/// True when two taps' rings have one frequency, within what both are known to.
[[nodiscard]] bool is_same_tone(const detector::Ring& a, const detector::Ring& b) noexcept;

/// The state of a ring on several taps, at least one; see TapRings.
[[nodiscard]] detector::RingState state_of(std::span<const TapRing> rings) noexcept;

/// The ring as a stage has it in `state` since `sample`: as told by the tap that knows it best,
/// with what all of them heard first. `id` and `place` are still those of that tap.
[[nodiscard]] TapRing ring_of_stage(std::span<const TapRing> rings,
                                    detector::RingState state,
                                    std::int64_t sample) noexcept;

}  // namespace brink::taps
