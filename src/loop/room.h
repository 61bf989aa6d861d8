#pragma once

#include <cstdint>
#include <vector>

namespace brink::loop {

/// In air at 20 C: 331.3 sqrt(1 + t / 273.15).
inline constexpr double kSoundSpeedMps = 343.2;

/// Metres from one corner of the floor along length, width and height. Also used for a direction.
struct Position {
  double x_m = 0.0;
  double y_m = 0.0;
  double z_m = 0.0;
};

[[nodiscard]] double distance_m(const Position& a, const Position& b) noexcept;

/// First-order microphone patterns: gain a + (1 - a) cos(angle off the axis).
enum class Pattern : std::uint8_t { kOmni, kCardioid, kSupercardioid, kFigureEight };

/// Gain of a pattern, for the `cosine` of the angle off its axis. Negative behind a figure-eight.
[[nodiscard]] double pattern_gain(Pattern pattern, double cosine) noexcept;

/// Share of diffuse sound power that a pattern takes in: 1 for omni, 1/3 for cardioid.
[[nodiscard]] double pattern_diffuse_power(Pattern pattern) noexcept;

/// A shoebox room with one loudspeaker (radiating evenly) and one microphone.
struct RoomConfig {
  double sample_rate_hz = 48000.0;
  double length_m = 14.0;  ///< each side 1 to 100
  double width_m = 9.0;
  double height_m = 4.0;
  double t60_s = 0.8;           ///< reverberation time at 500 Hz to 1 kHz, 0.05 to 10
  double t60_low_ratio = 1.2;   ///< T60 at 125 Hz and below over t60_s, 0.25 to 4
  double t60_high_ratio = 0.6;  ///< T60 at 8 kHz and above over t60_s, 0.25 to 4
  Position loudspeaker{5.0, 4.0, 0.3};
  Position microphone{6.0, 4.5, 1.5};
  Position aim{1.0, 0.0, 0.0};  ///< direction of the microphone's axis, any length but 0
  Pattern pattern = Pattern::kCardioid;
  std::uint64_t seed = 1;  ///< of the walls, the small irregularities and the tail's noise
  /// Above 0: another pair of loudspeaker and microphone between the same walls, with
  /// irregularities and a tail of its own.
  std::uint64_t path_seed = 0;
};

/// Places microphone and wedge. The microphone stands at 1.5 m near the middle of the floor. The
/// wedge is `wedge_distance_m` away, low in front, and `off_axis_deg` off the microphone's axis
/// (180: behind it). Throws Error when the room is too small for that distance.
void place_wedge(RoomConfig& room, double wedge_distance_m, double off_axis_deg);

/// Impulse response from the loudspeaker to the microphone, 1 in 1 m of free field. It starts when
/// the loudspeaker moves, so it begins with exact zeros while the direct sound travels. It ends 1.1
/// times the longest T60 after the direct sound. Throws Error that names the field when the room is
/// not possible.
///
/// Method: image sources of a shoebox (J. B. Allen, D. A. Berkley, "Image method for efficiently
/// simulating small-room acoustics", J. Acoust. Soc. Am. 65(4), 943-950, 1979) with fractional
/// delays. The mean absorption of the walls gives T60 by Eyring's formula. The images are moved by
/// some centimetres, so that a rectangular room does not whistle. From about the mixing time on,
/// noise takes their place. The noise decays with T60 octave by octave. It carries the power of a
/// diffuse field, c / (4 pi V) per second of a source with pressure 1 / (4 pi r).
[[nodiscard]] std::vector<double> room_response(const RoomConfig& room);

/// Distance at which direct and diffuse sound are equally loud, both for omni: sqrt(0.161 V / T60 /
/// 16 pi).
[[nodiscard]] double critical_distance_m(const RoomConfig& room) noexcept;

/// A measured impulse response whose travel time was removed, delayed by the travel of `travel_m`.
[[nodiscard]] std::vector<double> delayed_response(const std::vector<double>& samples,
                                                   double travel_m,
                                                   double sample_rate_hz);

}  // namespace brink::loop
