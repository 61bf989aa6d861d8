#pragma once

#include <cstdint>

namespace brink::detector {

/// `building` grows like a ring, not yet certain; `ringing` is certain; `fading` decays; `gone` is
/// over; `withdrawn` is over too: it was flagged, and what followed spoke against it.
enum class RingState : std::uint8_t { kBuilding, kRinging, kFading, kGone, kWithdrawn };

/// The state's word, as every screen and file writes it: "building", "ringing", "fading", "gone",
/// "withdrawn".
[[nodiscard]] const char* to_word(RingState state) noexcept;

/// Whether nothing more comes of a ring in this state.
[[nodiscard]] constexpr bool is_over(RingState state) noexcept {
  return state >= RingState::kGone;
}

/// Where nothing has happened yet.
inline constexpr std::int64_t kNever = -1;

/// A tone that the loop sustains, as known at one moment. Times are sample indices of the stream.
struct Ring {
  std::uint32_t id = 0;  ///< the same through a ring's life; unique within one Detector
  RingState state = RingState::kBuilding;
  double frequency_hz = 0.0;
  double frequency_sd_hz = 0.0;    ///< standard deviation of frequency_hz: noise, and how a loop's
                                   ///< tone shifts while it grows and is limited; at least 0.1 Hz
  double frequency_low_hz = 0.0;   ///< the range over which it glided since it was flagged; both
  double frequency_high_hz = 0.0;  ///< are frequency_hz until it does
  std::uint32_t place = 0;         ///< Place::number of where it rings, 0 before it is flagged
  std::int64_t onset_sample = 0;   ///< where the straight growth began
  std::int64_t flagged_sample =
      kNever;                          ///< when `ringing` could first be known live; kNever before
  std::int64_t ended_sample = kNever;  ///< when it was found gone; kNever while it sounds
  double growth_db_per_s = 0.0;        ///< slope of the straight growth; while fading, of the decay
  double level_dbfs = 0.0;             ///< now; a full-scale sine reads 0
  double peak_dbfs = 0.0;              ///< the highest level so far
  double confidence = 0.0;             ///< 0 to 1: about this share of such rings are real
};

/// A ring changed its state. `sample`: the samples that a live listener has heard at that moment.
struct RingEvent {
  std::int64_t sample = 0;
  Ring ring;
};

/// Receives events while Detector::push runs, in order of `sample`. Must not allocate or block if
/// the detector is to stay real-time safe.
class EventSink {
 public:
  virtual void on_event(const RingEvent& event) noexcept = 0;

 protected:
  EventSink() = default;
  EventSink(const EventSink&) = default;
  EventSink& operator=(const EventSink&) = default;
  EventSink(EventSink&&) = default;
  EventSink& operator=(EventSink&&) = default;
  ~EventSink() = default;
};

}  // namespace brink::detector
