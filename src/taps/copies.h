#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "taps/tap_history.h"

namespace brink::taps {

/// Finds taps that carry the same sound as another one, at whatever level: a stereo pair of one
/// microphone, or a channel that was patched twice. [analysis]
class Copies {
 public:
  explicit Copies(std::size_t tap_count);

  /// Looks once for each kPauseS of the stream up to the newest sample.
  void look(const TapHistory& history);

  /// The lower tap whose sound this one carries, or -1.
  [[nodiscard]] int copy_of(std::size_t tap) const noexcept { return copy_of_[tap]; }

  /// Looks in a row that must agree: 2 s.
  static constexpr int kLooks = 8;
  static constexpr double kPauseS = 0.25;

 private:
  std::int64_t next_look_ = 0;
  std::vector<int> agreed_;  // looks in a row, by pair
  std::vector<int> copy_of_;
};

}  // namespace brink::taps
