#pragma once

#include <algorithm>
#include <functional>

namespace brink::detector {

/// What a limiter makes of rings, where no cut belongs. Frequencies in Hz, > 0; they match within
/// 0.15 % or 2 Hz, whichever is more.

/// A multiple, 2 to 9, of a saturated ring.
[[nodiscard]] bool is_harmonic(double frequency_hz, double ring_hz) noexcept;

/// 2 a - b, 2 a + b or 3 a - 2 b of two rings: odd orders, as a symmetric limiter makes them.
[[nodiscard]] bool is_intermodulation(double frequency_hz, double a_hz, double b_hz) noexcept;

/// The level from which on a ring drives a limiter and is `above_db` over a line at `level_dbfs`.
[[nodiscard]] double limiting_dbfs(double level_dbfs, double above_db) noexcept;

/// A ring as it sounds now; a full-scale sine reads 0 dBFS.
struct RingTone {
  double frequency_hz;
  double level_dbfs;
  bool is_certain;
};

/// Whether a line would be what a limiter makes of rings that sound. One of them is certain, loud,
/// and 12 dB above the line; of a second one its level is enough, since it may not be certain yet.
/// `tone_of` gives the RingTone of one of `rings`.
template <typename Rings, typename ToneOf = std::identity>
[[nodiscard]] bool is_limiter_product(double frequency_hz,
                                      double level_dbfs,
                                      const Rings& rings,
                                      const ToneOf& tone_of = {}) noexcept {
  constexpr double kWeakerDb = 12.0;
  return std::any_of(rings.begin(), rings.end(), [&](const auto& one) {
    const RingTone a = tone_of(one);
    if (!a.is_certain || a.level_dbfs < limiting_dbfs(level_dbfs, kWeakerDb)) {
      return false;
    }
    return is_harmonic(frequency_hz, a.frequency_hz) ||
           std::any_of(rings.begin(), rings.end(), [&](const auto& other) {
             const RingTone b = tone_of(other);
             return &one != &other && b.level_dbfs >= level_dbfs &&
                    is_intermodulation(frequency_hz, a.frequency_hz, b.frequency_hz);
           });
  });
}

}  // namespace brink::detector
