#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "detector/ring.h"
#include "show/session_event.h"

namespace brink::show {

/// Whether two frequencies are one place: within 0.5 %, or within 1 Hz where that is more. Warm air
/// and a moved microphone shift a ring by 0.5 % (cuts::ProposeConfig). 1 Hz allows for mains hum
/// that wanders.
[[nodiscard]] bool is_same_place(double a_hz, double b_hz) noexcept;

/// A ring of one tap, from its first event on.
struct HeardRing {
  std::uint64_t id = 0;  ///< of ringing out; one detector's ids begin anew with the next session
  int tap = 0;
  detector::Ring ring;  ///< merge_ring() of its events, with the level and the state of the last
  double sample_rate_hz = 0.0;
  bool is_certain = false;           ///< was `ringing` at least once
  std::string flagged_at;            ///< time of day when it was certain; until then, of its start
  std::optional<double> rang_at_db;  ///< the fader then
  std::uint64_t caught_tick = 0;     ///< order among the actions and events of ringing out
  std::size_t output = 0;            ///< being rung out then; kNoOutput: none that is there

  static constexpr std::size_t kNoOutput = static_cast<std::size_t>(-1);

  [[nodiscard]] bool is_sounding() const noexcept { return !detector::is_over(ring.state); }
};

/// The rings of a session: all that sound, and the newest of those that are over.
class ShowRings {
 public:
  /// How many that are over are kept, so that a ring can be logged after the fader was pulled.
  static constexpr std::size_t kMostOver = 16;

  /// Where ringing out stands when an event comes.
  struct Moment {
    std::uint64_t tick = 0;
    std::size_t output = 0;
    std::optional<double> fader_db;
  };

  struct Change {
    std::uint64_t id = 0;
    detector::RingState before = detector::RingState::kBuilding;
    bool has_become_certain = false;
  };

  /// `event` must be of a ring. A ring that was gone without ever being certain is forgotten.
  Change take(const SessionEvent& event, const Moment& moment);

  /// No ring was caught at that output.
  void disown(std::size_t output) noexcept;

  /// Every ring that sounds is over: nothing is heard any more.
  void end_all();

  /// In the order in which they began.
  [[nodiscard]] const std::vector<HeardRing>& all() const noexcept { return rings_; }

  /// nullptr when it is forgotten.
  [[nodiscard]] const HeardRing* find(std::uint64_t id) const noexcept;

 private:
  HeardRing& entry_of(const SessionEvent& event, const Moment& moment);
  void forget();

  std::vector<HeardRing> rings_;
  std::uint64_t last_id_ = 0;
};

}  // namespace brink::show
