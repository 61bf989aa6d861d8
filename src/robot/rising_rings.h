#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "detector/detector.h"

namespace brink::robot {

/// A ring that was heard, and how it moves now.
struct RisingRing {
  detector::Ring ring;  ///< as it was while it grew; only `state` is the newest
  double level_dbfs = 0.0;
  double growth_db_per_s = 0.0;  ///< of its track now; 0 when no track shows it
};

/// Collects the rings that a detector heard since the last forget_before(). Allocates once.
/// [analysis]
class RisingRings final : public detector::EventSink {
 public:
  RisingRings() { rings_.reserve(kMost); }

  void on_event(const detector::RingEvent& event) noexcept override;

  /// Updates levels and growths from the present tracks.
  void look_at(std::span<const detector::TrackView> tracks) noexcept;

  /// Forgets what began before `sample`.
  void forget_before(std::int64_t sample) noexcept;

  /// In the order of their first report.
  [[nodiscard]] std::span<const RisingRing> rings() const noexcept { return rings_; }

  /// Number of rings that are certain.
  [[nodiscard]] int certain_count() const noexcept;

  /// Whether any ring still sounds.
  [[nodiscard]] bool is_any_left() const noexcept;

  /// Level of the loudest ring that still sounds; kSilenceDb when none does.
  [[nodiscard]] double loudest_dbfs() const noexcept;

 private:
  static constexpr std::size_t kMost = 64;
  std::int64_t since_sample_ = 0;
  std::vector<RisingRing> rings_;
};

}  // namespace brink::robot
