#pragma once

#include "listen/analysis.h"
#include "show/compare.h"
#include "show/show_record.h"

namespace brink::report {

/// Two recordings as two visits: an output for each channel. comparison_text() and
/// comparison_json() write it.
struct ComparedRecordings {
  show::ShowRecord before;
  show::ShowRecord now;
  show::VisitComparison visits;
};

/// `tolerance_cents`: within which two rings are one place. What is folded under a louder ring is
/// none.
[[nodiscard]] ComparedRecordings compare_recordings(const listen::Analysis& before,
                                                    const listen::Analysis& now,
                                                    double tolerance_cents = show::kSameRingCents);

}  // namespace brink::report
