#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>

#include "detector/ring.h"
#include "show/cut_proposal.h"
#include "show/show_record.h"

namespace brink::show {

/// Where ringing out an output stands; follows from the record and from what sounds.
enum class Phase : std::uint8_t {
  kPrepare,  ///< points of the checklist are open, and nothing rang yet; also without an output
  kRaise,    ///< until something rings
  kCatch,    ///< a certain ring waits for its cut
  kCheck,    ///< the ring that was cut last still sounds
  kDone,     ///< backed off
};

/// "prepare", "raise", "catch", "check", "done".
[[nodiscard]] const char* to_word(Phase phase) noexcept;
/// What to do in it: one line for the screen.
[[nodiscard]] const char* instruction(Phase phase) noexcept;

/// The checklist, in order, as OutputRecord::prepared keeps it.
[[nodiscard]] std::span<const char* const> prepare_points() noexcept;
[[nodiscard]] bool is_prepared(const show::OutputRecord& output, std::size_t point);

/// A ring to deal with.
struct OfferedRing {
  std::uint64_t id = 0;  ///< for RingOut's actions
  int tap = 0;
  detector::Ring ring;  ///< as known so far, with level and state of its last event; kGone: it is
                        ///< over
  detector::Ring now;   ///< the same with growth and level as they are now (LiveRing::now())
  bool is_certain = false;
  std::string flagged_at;
  std::optional<double> rang_at_db;  ///< the fader when it was certain
  std::optional<Proposal> proposal;  ///< none yet: next_to_propose() gives it out
};

/// A ring that sounds although it was said to be none.
struct DismissedRing {
  double frequency_hz = 0.0;
  std::size_t dismissal = 0;  ///< of the record, for RingOut::restore()

  friend bool operator==(const DismissedRing&, const DismissedRing&) = default;
};

enum class RoundCheck : std::uint8_t {
  kToCut,     ///< its cut was taken out again
  kSounding,  ///< cut, and the ring still sounds
  kFaded,     ///< the ring was heard to fade with the fader up
  kOpen,      ///< the ring is over, because the fader went down or unheard: raise again to see
  kReturned,  ///< something came back: RoundView::won_db says at what gain
};

/// A round as its row shows it.
struct RoundView {
  RoundCheck check = RoundCheck::kToCut;
  std::optional<double> won_db;
  const show::RoundRecord* round = nullptr;  ///< valid until the next action or event
};

}  // namespace brink::show
