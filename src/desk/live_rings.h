#pragma once

#include <span>
#include <vector>

#include "cuts/cut.h"
#include "cuts/target.h"
#include "listen/snapshot.h"
#include "show/session_event.h"

namespace brink::desk {

/// One ring as a face's list shows it.
struct BoardRow {
  int tap = 1;
  detector::Ring ring;          ///< as it is now
  detector::Ring caught;        ///< as it was when it last grew: what the cut follows from
  double sample_rate_hz = 0.0;  ///< of the sample indices in both
  std::vector<cuts::Cut>
      cuts;                ///< the proposal as the target can make it; empty: it has none there
  double changed_s = 0.0;  ///< stream time of its newest state
};

/// The rings of a session that a face shows: the ones that sound, the certain ones first, and for
/// kKeptS those that are gone. Cuts are fitted to a target, 10 ms or less for each event of a ring.
class LiveRings {
 public:
  static constexpr double kKeptS = 6.0;

  explicit LiveRings(cuts::Target target) : target_(std::move(target)) {}

  /// Fits every row anew.
  void set_target(cuts::Target target);

  [[nodiscard]] const cuts::Target& target() const noexcept { return target_; }

  void take(const show::SessionEvent& event);
  /// Level and growth as the newest snapshot has them; rows that are gone for long go.
  void follow(const listen::Snapshot& snapshot, double sample_rate_hz);

  void clear() noexcept { rows_.clear(); }

  /// Valid until the next call of anything else.
  [[nodiscard]] std::span<const BoardRow> rows() const noexcept { return rows_; }

 private:
  void fit(BoardRow& row) const;
  void sort();

  cuts::Target target_;
  std::vector<BoardRow> rows_;
};

}  // namespace brink::desk
