#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "cuts/audibility.h"
#include "cuts/cut.h"
#include "cuts/slot.h"

namespace brink::cuts {

/// heard_cuts(), updated filter by filter.
class AudibleScore {
 public:
  /// All slots off. `slots` outlive the score.
  explicit AudibleScore(std::span<const Slot> slots);

  /// What would be heard if slot `index` were set to `now`.
  [[nodiscard]] HeardCuts try_change(std::size_t index, const Choice& now);
  /// Makes the change that was tried last.
  void make_change();

 private:
  std::span<const Slot> slots_;
  std::vector<Cut> cuts_;          // by slot; depth 0: off
  std::vector<double> depths_db_;  // at each cut's centre, its like ones with it; above 0
  std::vector<double> tried_depths_db_;
  std::size_t tried_index_ = 0;
  Cut tried_cut_;
};

}  // namespace brink::cuts
