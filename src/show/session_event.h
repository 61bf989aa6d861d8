#pragma once

#include <chrono>
#include <cstdint>
#include <optional>

#include "cuts/cut.h"
#include "detector/ring.h"
#include "show/sound_levels.h"
#include "taps/ring_shares.h"

namespace brink::show {

enum class EventKind : std::uint8_t {
  kBuilding,
  kRinging,
  kFading,
  kGone,
  kWithdrawn,
  kInputLost,
  kInputBack,
  kSamplesLost,
};

/// As every file and message writes it: "building", ..., "input-lost", "samples-lost".
[[nodiscard]] const char* to_word(EventKind kind) noexcept;
[[nodiscard]] bool is_of_ring(EventKind kind) noexcept;
/// Whether it is the last one of its ring: gone or withdrawn.
[[nodiscard]] bool ends_ring(EventKind kind) noexcept;

enum class LossReason : std::uint8_t {
  kVanished,  ///< the device or its server is gone
  kFrozen,    ///< it is there, and no sound comes
  kZeros,     ///< nothing but exact zeros comes: no cable, or muted digitally
};

/// "vanished", "frozen", "zeros".
[[nodiscard]] const char* to_word(LossReason reason) noexcept;

/// Something happened in a session.
struct SessionEvent {
  static constexpr int kAllTaps = 0;
  static constexpr std::int64_t kUnknownCount = -1;

  EventKind kind = EventKind::kBuilding;
  double stream_s = 0.0;  ///< samples heard until then, in seconds: the place in a recording
  std::chrono::system_clock::time_point wall;  ///< when it was found
  /// Channel number, from 1. Of a ring: the one to name first.
  int tap = kAllTaps;
  int heard_tap = kAllTaps;  ///< of a ring: the channel on which it was measured

  detector::Ring ring;               ///< of a ring; when it ends, the best that was known of it
  double sample_rate_hz = 0.0;       ///< of the sample indices in `ring`
  taps::RingShares shares;           ///< of a ring that was certain, with several taps
  std::optional<cuts::Cut> cut;      ///< for a ring that was certain
  std::optional<SoundLevels> sound;  ///< then, of a ring on a calibrated microphone
  LossReason reason = LossReason::kVanished;  ///< of kInputLost
  std::int64_t lost_samples = 0;  ///< of kSamplesLost; kUnknownCount when the device did not say
};

}  // namespace brink::show
