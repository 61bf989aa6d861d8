#pragma once

#include <cstddef>
#include <vector>

#include "detector/merge_ring.h"
#include "detector/ring.h"

namespace brink::show {

/// Gathers a detector's events into one entry for each ring. Allocates, so it is for recordings and
/// not for a live stream. [analysis]
class RingList final : public detector::EventSink {
 public:
  /// `keeps_unsure`: also keep what was gone before it reached `ringing`.
  explicit RingList(bool keeps_unsure) : keeps_unsure_(keeps_unsure) {}

  void on_event(const detector::RingEvent& event) noexcept override;

  /// Everything gathered, in the order in which it ended; what still sounds comes last.
  [[nodiscard]] std::vector<detector::Ring> rings() const;

 private:
  void retire(std::size_t index);

  bool keeps_unsure_;
  std::vector<detector::Ring> sounding_;  ///< few at any time, so that a hop's cost stays the same
  std::vector<detector::Ring> over_;
};

[[nodiscard]] inline bool was_certain(const detector::Ring& ring) noexcept {
  return ring.flagged_sample != detector::kNever;
}

}  // namespace brink::show
