#pragma once

#include <optional>
#include <string>
#include <vector>

#include "show/show_record.h"

namespace brink::show {

/// A place that rang on a visit. Rings within the tolerance of one another are one.
struct VisitRing {
  double frequency_hz = 0.0;  ///< where it rang first
  int times = 1;

  friend bool operator==(const VisitRing&, const VisitRing&) = default;
};

struct RingPair {
  VisitRing before;
  VisitRing now;
  double apart_cents = 0.0;  ///< positive: higher now

  friend bool operator==(const RingPair&, const RingPair&) = default;
};

/// One output of both visits, by its name.
struct OutputComparison {
  std::string name;
  std::vector<RingPair> again;
  std::vector<VisitRing> fresh;      ///< rang now, not before
  std::vector<VisitRing> quiet;      ///< rang before, not now
  std::vector<cuts::Band> needless;  ///< cuts of before that nothing asked for now
  std::optional<double> won_before_db;
  std::optional<double> won_now_db;
};

struct VisitComparison {
  double tolerance_cents = 0.0;
  std::vector<OutputComparison> outputs;  ///< in the order of now
  std::vector<std::string> only_before;   ///< outputs that were rung out on one visit alone
  std::vector<std::string> only_now;
};

/// A semitone either way. Common practice: a microphone or a listener that moved shifts a ring by
/// a few per cent, and a parametric cut of Q 8 reaches a semitone and a little more to each side of
/// its centre, so that within it the same cut serves.
inline constexpr double kSameRingCents = 100.0;

/// What two visits of a venue tell about each other. A ring is the same when it lies within
/// `tolerance_cents` of one of the other visit. A cut is no longer needed when nothing rang now
/// within the tolerance of its centre, or within the band that it halves in dB, and nothing was cut
/// there now either; high-passes are cut for the sound and not judged. Frequencies that are not
/// positive are passed over.
[[nodiscard]] VisitComparison compare_visits(const show::ShowRecord& before,
                                             const show::ShowRecord& now,
                                             double tolerance_cents = kSameRingCents);

}  // namespace brink::show
