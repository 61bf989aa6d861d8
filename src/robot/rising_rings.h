#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "detector/detector.h"

namespace brink::robot {

/// A ring that was heard, and how it moves at two places of the fader.
struct RisingRing {
  detector::Ring ring;  ///< as it was while it grew; `state` is the newest
  double level_dbfs = 0.0;
  double growth_db_per_s = 0.0;  ///< of its track now; 0 while no track shows it
};

/// What a detector heard ring since the last forget_before(). Allocates once. [analysis]
class RisingRings final : public detector::EventSink {
 public:
  RisingRings() { rings_.reserve(kMost); }

  void on_event(const detector::RingEvent& event) noexcept override;

  /// Levels and growths as the tracks show them now.
  void look_at(std::span<const detector::TrackView> tracks) noexcept;

  /// What began before `sample` is of no more interest.
  void forget_before(std::int64_t sample) noexcept;

  /// In the order in which they were first heard.
  [[nodiscard]] std::span<const RisingRing> rings() const noexcept { return rings_; }

  /// How many of them are certain.
  [[nodiscard]] int certain_count() const noexcept;

  [[nodiscard]] bool is_any_left() const noexcept;

  /// Of those that still sound; kSilenceDb when none does.
  [[nodiscard]] double loudest_dbfs() const noexcept;

 private:
  static constexpr std::size_t kMost = 64;
  std::int64_t since_sample_ = 0;
  std::vector<RisingRing> rings_;
};

}  // namespace brink::robot
