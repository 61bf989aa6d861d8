#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "show/live_rings.h"
#include "show/session_event.h"

namespace brink::show {

/// What a show notes of a ring when it is caught. How the ring sounds, LiveRings alone knows.
struct Catch {
  bool is_certain = false;           ///< was `ringing` at least once in this show
  std::string flagged_at;            ///< time of day when it was certain; until then, of its start
  std::optional<double> rang_at_db;  ///< the fader then
  std::uint64_t tick = 0;            ///< order among the actions and events of ringing out
  std::size_t output = 0;            ///< being rung out then; kNoOutput: none that is there

  static constexpr std::size_t kNoOutput = static_cast<std::size_t>(-1);
};

/// A live ring and what the show noted of it; valid until the next event or action.
struct CaughtRing {
  const LiveRing* live = nullptr;
  const Catch* caught = nullptr;
};

/// The notes of one show, for each ring that it heard.
class CaughtRings {
 public:
  /// Where ringing out stands when an event comes.
  struct Moment {
    std::uint64_t tick = 0;
    std::size_t output = 0;
    std::optional<double> fader_db;
  };

  /// `event` is the one that `ring` (LiveRing::id) was changed by. Returns whether the ring has
  /// become certain with it.
  bool take(std::uint64_t ring, const SessionEvent& event, const Moment& moment);

  /// No ring was caught at that output.
  void disown(std::size_t output) noexcept;

  /// Drops the notes of rings that are not in the list any more.
  void forget_all_but(const LiveRings& rings);

  /// The rings that sound and those that are over and were certain, in the order in which they
  /// began. Rings that were never heard in this show are not among them.
  [[nodiscard]] std::vector<CaughtRing> all(const LiveRings& rings) const;
  [[nodiscard]] std::optional<CaughtRing> find(std::uint64_t ring, const LiveRings& rings) const;

 private:
  [[nodiscard]] std::optional<CaughtRing> caught(const LiveRing& live) const;

  std::map<std::uint64_t, Catch> catches_;
};

}  // namespace brink::show
