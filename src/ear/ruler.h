#pragma once

#include <optional>
#include <string_view>

namespace brink::ear {

/// The smallest difference of frequency that hearing can tell, in Hz: 3.4 Hz up to 567 Hz, 0.6 %
/// (10 cents) above. This is the coarsest of the published figures (docs/ear.md), so that no score
/// claims more than an ear can hear. They go from 1 to 3.4 Hz below 1 kHz, and from 0.2 to 0.6 %
/// above. Range: > 0.
[[nodiscard]] double hearing_step_hz(double frequency_hz) noexcept;
/// The same as an upward distance in cents: 46 at 125 Hz, 10.4 from 567 Hz on.
[[nodiscard]] double hearing_step_cents(double frequency_hz) noexcept;

/// The guess on a ruler of log frequency, for every window and terminal. It never leaves the ruler.
/// [any]
class Ruler {
 public:
  static constexpr double kLowHz = 50.0;
  static constexpr double kHighHz = 16000.0;
  static constexpr double kFineCents = 20.0;  ///< about two steps of hearing

  [[nodiscard]] double frequency_hz() const noexcept { return frequency_hz_; }

  /// Moves the guess there. A value that is not a frequency changes nothing.
  void place(double frequency_hz) noexcept;
  /// Moves to the centre of a third-octave, counted in bands from the nearest one.
  void step_bands(int bands) noexcept;
  /// Moves by kFineCents a step.
  void step_fine(int steps) noexcept;

  /// 0 at kLowHz to 1 at kHighHz; for drawing and for the mouse.
  [[nodiscard]] static double position_of(double frequency_hz) noexcept;
  /// The frequency in Hz at a position, 0 to 1.
  [[nodiscard]] static double frequency_at(double position) noexcept;

 private:
  double frequency_hz_ = 1000.0;
};

/// Reads a typed guess: "2500", "2.5k", "2.5 kHz", "630 hz", or a note: "A4", "F#5", "Bb3", "a4+20"
/// (cents). Nothing when it is not a frequency on the ruler.
[[nodiscard]] std::optional<double> parse_guess(std::string_view text);

}  // namespace brink::ear
