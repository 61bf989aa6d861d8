#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/cut.h"
#include "cuts/target.h"
#include "show/show_record.h"

namespace brink::show {

/// A place that rang in an earlier round and was cut.
struct RungPlace {
  double frequency_hz = 0.0;
  double q = 0.0;  ///< of the cut that its ring asked for by itself

  friend bool operator==(const RungPlace&, const RungPlace&) = default;
};

/// All that a proposal depends on, as plain values that may go to another thread.
struct ProposalInput {
  std::string target_text;            ///< OutputRecord::target; to_target() must read it
  std::vector<show::CutRecord> cuts;  ///< in the equaliser now
  std::vector<RungPlace> rung;        ///< what these cuts are for
  cuts::Cut wanted;                   ///< at the ring, so much deeper than now
  double sample_rate_hz = 48000.0;    ///< of the equaliser

  friend bool operator==(const ProposalInput&, const ProposalInput&) = default;
};

/// What to set on the equaliser for one more ring.
struct Proposal {
  enum class Kind : std::uint8_t {
    kAdds,     ///< a band that was free, or a graphic's band that was flat
    kDeepens,  ///< a cut in place goes deeper
    kWidens,   ///< a cut in place is moved or made wider, and deeper if need be
    kRefits,   ///< no band was free: all are set anew for all rings so far
    kCannot,   ///< nothing that the target can do would help enough
  };

  static constexpr std::size_t kNone = static_cast<std::size_t>(-1);

  Kind kind = Kind::kCannot;
  std::vector<show::CutRecord> cuts;  ///< all that is in the equaliser afterwards
  std::size_t index = kNone;          ///< the one among them that serves the ring most
  double change_db = 0.0;             ///< of the level at the ring
  std::string sentence;               ///< "a free band", "deepens 2630 Hz Q 8 -6 dB", ...

  friend bool operator==(const Proposal&, const Proposal&) = default;

  /// For kind other than kCannot.
  [[nodiscard]] const show::CutRecord& cut() const { return cuts[index]; }
};

/// How one band of an equaliser changes.
struct BandChange {
  std::optional<show::CutRecord> was;  ///< nothing: a band that was free
  std::optional<show::CutRecord> now;  ///< nothing: the cut is taken out

  friend bool operator==(const BandChange&, const BandChange&) = default;
};

/// All that differs between two settings, rising in frequency: what has to be set by hand. A cut
/// that moved is one change, as the nearest of the cuts that were there.
[[nodiscard]] std::vector<BandChange> band_changes(std::span<const show::CutRecord> before,
                                                   std::span<const show::CutRecord> after);

/// "2.63 kHz  Q 8  -6.0 dB, new", "1.6 kHz  -6.0 dB, was -3.0 dB", "400 Hz  -3.0 dB, taken out".
[[nodiscard]] std::string change_words(const BandChange& change, cuts::Target::Kind kind);

/// The fitting cut, in the target's own steps; the same input gives the same proposal.
///
/// In this order: a ring within reach of a cut that is there deepens or widens that one (never
/// makes it narrower, and no earlier place gets less than it had), with the least area of depth
/// times octaves; a free band; the planner's best for all rings together. A graphic deepens the
/// bands that do the most at the ring, none by more than the ring needs. Half of what is wanted is
/// taken where all of it cannot be had. Levels within 0.25 dB are one. No cut goes
/// beyond -12 dB for ringing out. Methods and their sources: docs/method.md, "Ringing out".
///
/// Pure: no state, no clock; under 3 ms, and up to 30 ms when all bands are in use (measured:
/// docs/log.md), so that a face may call it between two pictures or hand the input to a thread of
/// its own. Throws
/// base::Error when the target's text is no target. [any]
[[nodiscard]] Proposal propose(const ProposalInput& input);

}  // namespace brink::show
