#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "detector/detector.h"
#include "detector/ring.h"
#include "show/channel_names.h"
#include "show/session_event.h"

namespace brink::show {

/// Whether two frequencies are one place: within 0.5 %, or within 1 Hz where that is more. Warm air
/// and a moved microphone shift a ring by 0.5 % (cuts::ProposeConfig). 1 Hz allows for mains hum
/// that wanders.
[[nodiscard]] bool is_same_place(double a_hz, double b_hz) noexcept;

/// A ring, from its first event on.
struct LiveRing {
  std::uint64_t id = 0;     ///< of the list; a detector's ids begin anew with the next session
  int session = 0;          ///< of the list
  int tap = 0;              ///< SessionEvent::tap of the newest event
  int heard_tap = 0;        ///< SessionEvent::heard_tap of it
  taps::RingShares shares;  ///< of the newest event
  detector::Ring ring;  ///< merge_ring() of its events, with the level and the state of the last
  double sample_rate_hz = 0.0;  ///< of the sample indices in `ring`
  bool is_certain = false;      ///< was `ringing` at least once
  double changed_s = 0.0;       ///< stream time of its newest event
  double growth_now_db_per_s = 0.0;
  double level_now_dbfs = 0.0;
  /// The loudest SoundLevels::one_second_db of its events; nothing: not calibrated, or silent.
  std::optional<double> laeq_1s_db;

  [[nodiscard]] bool is_sounding() const noexcept { return !detector::is_over(ring.state); }

  /// `ring` with growth and level as they are now, while it sounds: they change faster than events
  /// tell.
  [[nodiscard]] detector::Ring now() const noexcept;
};

/// The one list of what rings now: all rings that sound, and the newest certain ones of those that
/// are over. RingOut owns it; its on_event() and on_tracks() alone change it. Every face reads it.
class LiveRings {
 public:
  /// How many that are over are kept, so that a ring can be logged after the fader was pulled.
  static constexpr std::size_t kMostOver = 16;
  /// How long a face shows one that is gone.
  static constexpr double kShownS = 6.0;

  struct Change {
    std::uint64_t id = 0;
    detector::RingState before = detector::RingState::kBuilding;
  };

  /// `event` must be of a ring. A ring that was gone without ever being certain is forgotten.
  Change take(const SessionEvent& event);

  /// What the channels are called. Kept when a show goes on with this list.
  void set_names(ChannelNames names) { names_ = std::move(names); }

  [[nodiscard]] const ChannelNames& names() const noexcept { return names_; }

  /// Growth and level as the tracks of a tap have them now.
  void follow(int tap, std::span<const detector::TrackView> tracks) noexcept;

  /// Every ring that sounds is over: nothing is heard any more.
  void end_all();
  /// Another source is listened to.
  void begin_session();

  /// In the order in which they began.
  [[nodiscard]] const std::vector<LiveRing>& all() const noexcept { return rings_; }

  /// What a face shows at this stream time: of the present session, what needs a hand first stands
  /// first. Valid until the list changes.
  [[nodiscard]] std::vector<const LiveRing*> shown(double stream_s) const;

  /// nullptr when it is forgotten.
  [[nodiscard]] const LiveRing* find(std::uint64_t id) const noexcept;
  /// The ring of the present session with that number.
  [[nodiscard]] const LiveRing* find_number(std::uint32_t ring_id) const noexcept;

 private:
  LiveRing& entry_of(const SessionEvent& event);
  void forget();

  ChannelNames names_;
  std::vector<LiveRing> rings_;
  std::uint64_t last_id_ = 0;
  int session_ = 0;
};

}  // namespace brink::show
