#pragma once

#include <cstddef>
#include <vector>

#include "detector/ring.h"

namespace brink::show {

/// What a later event adds to what is known of a ring. The measurements that count are those up to
/// its height: on the way down the line sinks into programme and its neighbours, and the slope is a
/// decay, which says nothing about the loop at the brink; a ring that is gone carries its growth
/// again. `gone` leaves the state that it had.
[[nodiscard]] detector::Ring merge_ring(const detector::Ring& known,
                                        const detector::Ring& later) noexcept;

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
