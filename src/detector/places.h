#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace brink::detector {

/// One frequency at which the loop has rung, with what it did there. All places of a loop move
/// together with its gain: their growths and decays rise and fall as one.
struct Place {
  std::uint32_t number = 0;  ///< from 1 on, in the order in which they were found
  double frequency_hz = 0.0;
  double frequency_sd_hz = 0.0;       ///< how far its visits lie apart, never below what one has
  double growth_db_per_s = 0.0;       ///< of the newest growth there; 0 before the first
  double decay_db_per_s = 0.0;        ///< of the newest decay there, negative; 0 before the first
  int times = 0;                      ///< how often a ring was flagged there
  int doubted_times = 0;              ///< how many of these were withdrawn on little evidence
  std::int64_t last_seen_sample = 0;  ///< when a ring there was last followed
};

/// The memory of a loop's places. Holds 64; when it is full the one not seen for longest goes.
/// Constructing allocates, the rest does not. [analysis]
class Places {
 public:
  Places();

  /// The place at `frequency_hz` (within 0.5 % or 1 Hz, the nearest), nullptr for none.
  [[nodiscard]] Place* at(double frequency_hz) noexcept;

  /// A ring was flagged there: its place, new or known, seen once more.
  Place& visit(double frequency_hz, double frequency_sd_hz, std::int64_t now_sample) noexcept;

  /// In the order in which they were found.
  [[nodiscard]] std::span<const Place> all() const noexcept { return places_; }

 private:
  std::vector<Place> places_;
  std::uint32_t next_number_ = 1;
};

}  // namespace brink::detector
