#pragma once

#include <string>

namespace brink::base {

/// Level of an amplitude in dB re 1. Any number is legal; its sign does not matter. Up to 1e-10,
/// and for NaN, the level is kSilenceDb, never -infinity.
[[nodiscard]] double amplitude_to_db(double amplitude_lin) noexcept;
/// The same for a power (amplitude squared). Negative powers also give kSilenceDb.
[[nodiscard]] double power_to_db(double power_lin) noexcept;
/// The inverse of amplitude_to_db(). Minus infinity gives 0.
[[nodiscard]] double db_to_amplitude(double level_db) noexcept;

/// The lowest level in brink. 24-bit silence is at about -144 dBFS, well above it.
inline constexpr double kSilenceDb = -200.0;

/// Distance between two frequencies (both > 0) in cents: 100 cents are an equal-tempered semitone.
/// Positive when `frequency_hz` is the higher one.
[[nodiscard]] double cents_between(double frequency_hz, double reference_hz) noexcept;

/// Equal temperament with A4 = 440 Hz: f = 440 * 2^((m - 69) / 12). m is the semitone number; A4 is
/// 69.
[[nodiscard]] double semitone_to_hz(double semitone) noexcept;
[[nodiscard]] double hz_to_semitone(double frequency_hz) noexcept;

/// The nearest note and the distance to it in cents, as an engineer says it: 2631.4 Hz is "E7 -4
/// c". Range: > 0 Hz.
[[nodiscard]] std::string note_name(double frequency_hz);

/// Three significant figures, as on a console: "94.5 Hz", "811 Hz", "2.63 kHz".
[[nodiscard]] std::string frequency_label(double frequency_hz);

/// Base-ten third-octave bands (IEC 61260-1): the centre is 1000 * 10^(n/10) Hz, and the edges are
/// a factor 10^(1/20) away. `index` counts from the 1 kHz band: 0 is 1 kHz, -13 is 50 Hz, +12 is 16
/// kHz.
[[nodiscard]] double third_octave_centre_hz(int index) noexcept;
[[nodiscard]] double third_octave_lower_hz(int index) noexcept;
[[nodiscard]] double third_octave_upper_hz(int index) noexcept;
/// Index of the band that holds the frequency (> 0 Hz).
[[nodiscard]] int third_octave_index(double frequency_hz) noexcept;
/// The nominal frequency of IEC 61260-1, as on a fader: "31.5 Hz", "400 Hz", "1.6 kHz".
[[nodiscard]] std::string third_octave_name(int index);

}  // namespace brink::base
