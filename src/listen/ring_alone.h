#pragma once

#include <optional>
#include <span>
#include <vector>

namespace brink::listen {

/// Loudness of one channel after ITU-R BS.1770 with its gates (libebur128), LUFS; a channel by
/// itself counts as left or right. Nothing when nothing passes the gates: silence, or less than
/// 0.4 s. Samples must be finite.
[[nodiscard]] std::optional<double> loudness_lufs(std::span<const float> samples,
                                                  double sample_rate_hz);

/// Half the width of what is kept around a ring: 1 % of its frequency, at least 8 Hz, so that a
/// ring that bends a little stays in it.
[[nodiscard]] double half_width_hz(double frequency_hz) noexcept;

/// Keeps a narrow band around the frequency: two band-passes of R. Bristow-Johnson, Audio EQ
/// Cookbook (constant peak gain), one after the other. In place; -6 dB at half_width_hz() to either
/// side, 0 dB in the middle. Legal: 0 < frequency < sample_rate_hz / 2.
void keep_band(std::span<float> samples, double frequency_hz, double sample_rate_hz) noexcept;

/// A ring alone, and all that was around it, to be heard at one loudness.
struct RingAndWhole {
  std::vector<float> alone;
  std::vector<float> whole;
  double alone_gain_db = 0.0;  ///< that was given to each
  double whole_gain_db = 0.0;
  std::optional<double> loudness_lufs;  ///< of both; nothing: one of them is silent, and no gain
};

/// The ring is raised to the loudness of the whole, at most so far that no sample exceeds full
/// scale; what is missing the whole comes down.
[[nodiscard]] RingAndWhole at_one_loudness(std::vector<float> whole,
                                           double frequency_hz,
                                           double sample_rate_hz);

}  // namespace brink::listen
