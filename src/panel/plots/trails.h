#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <unordered_map>

#include "detector/detector.h"

namespace brink::panel {

/// Where each track on the brink map has been in the last moments.
class Trails {
 public:
  static constexpr std::size_t kPoints = 24;

  struct Point {
    float frequency_hz = 0.0F;
    float growth_db_per_s = 0.0F;
  };

  struct Trail {
    std::array<Point, kPoints> points{};  ///< a ring buffer: the newest point is before `count`
    std::size_t count = 0;
    std::uint64_t seen = 0;

    [[nodiscard]] std::size_t size() const noexcept { return count < kPoints ? count : kPoints; }

    /// The point `back` steps ago. 0 is the present; `back` must be below size().
    [[nodiscard]] const Point& at(std::size_t back) const noexcept {
      return points[(count - 1 - back) % kPoints];
    }
  };

  /// Takes the present tracks. Tracks that are not among them are forgotten.
  void look(std::span<const detector::TrackView> tracks);

  void clear() noexcept { trails_.clear(); }

  /// The trail of a track, or nullptr when it is not known.
  [[nodiscard]] const Trail* find(std::uint64_t track_id) const noexcept;

 private:
  std::unordered_map<std::uint64_t, Trail> trails_;
  std::uint64_t look_count_ = 0;
};

}  // namespace brink::panel
