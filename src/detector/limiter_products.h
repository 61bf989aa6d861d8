#pragma once

namespace brink::detector {

/// What a limiter makes of rings, where no cut belongs. Frequencies in Hz, > 0; they match within
/// 0.15 % or 2 Hz, whichever is more.

/// A multiple, 2 to 9, of a saturated ring.
[[nodiscard]] bool is_harmonic(double frequency_hz, double ring_hz) noexcept;

/// 2 a - b, 2 a + b or 3 a - 2 b of two rings: odd orders, as a symmetric limiter makes them.
[[nodiscard]] bool is_intermodulation(double frequency_hz, double a_hz, double b_hz) noexcept;

}  // namespace brink::detector
