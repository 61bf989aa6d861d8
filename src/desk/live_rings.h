#pragma once

#include <optional>
#include <span>
#include <vector>

#include "cuts/setting.h"
#include "cuts/target.h"
#include "listen/snapshot.h"
#include "show/cut_proposal.h"
#include "show/session_event.h"

namespace brink::desk {

/// One ring as a face's list shows it.
struct BoardRow {
  int tap = 1;
  detector::Ring ring;    ///< level, growth and state as they are now, the rest as in `caught`
  detector::Ring caught;  ///< merge_ring() of its events, as ringing out has it too
  double sample_rate_hz = 0.0;  ///< of the sample indices in both
  std::optional<show::Proposal>
      proposal;            ///< of a ring that is certain, for the equaliser as it stands
  double changed_s = 0.0;  ///< stream time of its newest state
};

/// The rings of a session that a face shows: the ones that sound, the certain ones first, and for
/// kKeptS those that are gone. Cuts are proposed as for ringing out (propose() tells how long that
/// takes) for the equaliser that the board is told of.
class LiveRings {
 public:
  static constexpr double kKeptS = 6.0;

  /// `target` with its source_text, as load_target() gives it.
  explicit LiveRings(cuts::Target target) : target_(std::move(target)) {}

  /// Fits every row anew.
  void set_target(cuts::Target target);

  [[nodiscard]] const cuts::Target& target() const noexcept { return target_; }

  /// What is in the equaliser now; proposes anew when it is another setting.
  void set_equaliser(const cuts::Setting& equaliser);

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
  std::vector<show::CutRecord> cuts_;  // in the equaliser
  std::vector<BoardRow> rows_;
};

}  // namespace brink::desk
