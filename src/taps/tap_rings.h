#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "detector/ring.h"
#include "taps/copies.h"
#include "taps/ring_shares.h"
#include "taps/share_meter.h"
#include "taps/stage_places.h"
#include "taps/tap_history.h"

namespace brink::taps {

/// A ring of the stage changed its state.
struct TapRingEvent {
  std::int64_t sample = 0;  ///< as RingEvent::sample
  int channel = 1;          ///< to name first: that of the microphone with most of it
  int heard_channel = 1;    ///< on whose tap `ring` was measured
  detector::Ring ring;      ///< `id` and `place` are of the stage and not of a tap
  RingShares shares;
};

/// One stage heard by several detectors, one for each tap: a ring that sounds on several taps is
/// told once.
///
/// Rings of two taps are one when they sound at one time and their frequencies agree within what
/// both are known to. A ring is `ringing` as soon as one tap says so, since the best tap decides;
/// it is `fading` when no tap that was certain still has it ringing, and `gone` when all of them
/// have lost it. It is `withdrawn` when every tap that was certain has withdrawn it. What a limiter
/// makes of louder rings on other taps is not told: each detector knows that of its own tap only.
///
/// With one tap every event passes as it is. The result does not depend on how the stream is cut
/// into blocks. Allocates. [analysis]
class TapRings {
 public:
  /// `taps`: at least one. Outputs without any microphone are taken as microphones.
  TapRings(double sample_rate_hz, std::vector<TapInfo> taps);

  // For each block, in this order:

  /// An event of the detector of tap number `tap`, from 0. Sample numbers are those of the stream.
  void take(std::size_t tap, const detector::RingEvent& event);
  /// The block itself, after all taps' events in it: one span for each tap, equally long, at most
  /// TapHistory::kMostBlock.
  void hear(std::span<const std::span<const float>> block);
  void hear_silence(std::size_t sample_count);
  /// The events of the stage that follow, in order of time. Empties the list.
  [[nodiscard]] std::vector<TapRingEvent> settle();

  /// What comes next has nothing to do with what was. Call it after the detectors have ended all
  /// their rings and settle() has told.
  void break_off();

  /// The ring of the stage that a tap's ring belongs to, 0 for none.
  [[nodiscard]] std::uint32_t id_of(std::size_t tap, std::uint32_t ring_id) const noexcept;

  [[nodiscard]] const Copies& copies() const noexcept { return copies_; }

 private:
  struct TapEvent {
    std::size_t tap = 0;
    detector::RingEvent event;
  };

  struct Group {
    std::uint32_t id = 0;
    std::vector<TapRing> members;
    ShareMeter meter;
    std::int64_t next_measure;
    detector::Ring told;
    std::size_t told_tap;  // that told it
    bool is_told;
    bool is_held_back;  // certain, and not told: a limiter may make it
  };

  [[nodiscard]] Group* group_of(std::size_t tap, std::uint32_t ring_id) noexcept;
  [[nodiscard]] Group* match(const detector::Ring& ring, const Group* own) noexcept;
  Group& add_group(std::int64_t sample);
  void put(const TapEvent& event);
  void move_when_certain(std::size_t tap, const detector::RingEvent& event);
  [[nodiscard]] bool is_limiter_product(const Group& group, std::int64_t sample) const;
  void hold_back_product(Group& group, detector::RingState state, std::int64_t sample) const;
  void drop_ended_members(Group& group, std::int64_t sample);
  void tell(Group& group, std::int64_t sample);
  void end_group(std::uint32_t id, std::int64_t sample);
  void measure_until(std::int64_t sample);
  void measure(Group& group, std::int64_t end);

  std::vector<TapInfo> taps_;
  TapHistory history_;
  Copies copies_;
  std::int64_t pause_;  // from one look at a ring to the next
  std::vector<TapEvent> waiting_;
  std::vector<Group> groups_;  // that sound
  std::vector<TapRingEvent> told_;
  std::uint32_t last_id_ = 0;
  StagePlaces places_;
};

}  // namespace brink::taps
