#pragma once

#include <array>
#include <complex>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "base/fft.h"
#include "show/sound_levels.h"

namespace brink::listen {

/// One line of a microphone's frequency response: what it gives too much, in dB.
struct ResponsePoint {
  double frequency_hz = 0.0;
  double level_db = 0.0;
};

/// What makes a sound pressure of samples: one microphone on one channel of one input.
struct Calibration {
  double full_scale_db_spl = 0.0;       ///< sound pressure of an RMS of 1 at 1 kHz
  std::vector<ResponsePoint> response;  ///< rising in frequency; empty: taken as flat
};

/// The A-weighting at a frequency > 0, dB; 0 at 1 kHz. IEC 61672-1:2013, its formula and poles
/// (20.598997, 107.65265, 737.86223 and 12194.217 Hz).
[[nodiscard]] double a_weighting_db(double frequency_hz) noexcept;

/// The response at a frequency, re 1 kHz, where the calibrator sounds. Between two points a
/// straight line over the logarithm of frequency; beyond the last one its value (common practice).
[[nodiscard]] double response_db(std::span<const ResponsePoint> response,
                                 double frequency_hz) noexcept;

/// Which share of the daily dose was heard, 1 for all of it: 85 dB(A) for 8 hours, half the time
/// for each 3 dB more (NIOSH, recommended exposure limit, 1998). 0 for silence.
[[nodiscard]] double dose_share(const show::SoundLevels& levels) noexcept;

/// The A-weighted sound pressure of one tap. Spectra of overlapping windows are weighted bin by
/// bin, so the A-weighting follows the formula at every sample rate, and the microphone's response
/// is taken off in the same step. Squared sine windows that overlap by half add up to one, so every
/// sample counts the same. Pushing never allocates. [analysis]
class SoundMeter {
 public:
  SoundMeter(double sample_rate_hz, const Calibration& calibration);

  /// The next samples, full scale +-1. NaN and infinity count as silence.
  void push(std::span<const float> block) noexcept;
  /// What comes next does not follow on what came before.
  void break_off() noexcept;

  /// Nothing before a second was heard.
  [[nodiscard]] std::optional<show::SoundLevels> levels() const noexcept;

 private:
  static constexpr std::size_t kSeconds = 900;

  void end_window() noexcept;
  void end_second() noexcept;
  [[nodiscard]] double to_db(double power_lin) const noexcept;

  base::Fft fft_;
  double full_scale_db_spl_;
  std::vector<float> window_;
  std::vector<float> weights_;  // of a bin's power
  std::vector<float> samples_;
  std::vector<float> windowed_;
  std::vector<std::complex<float>> bins_;
  std::size_t filled_ = 0;
  std::size_t hop_count_ = 0;               // of the present second
  double power_sum_ = 0.0;                  // of the present second's hops
  std::array<double, kSeconds> seconds_{};  // mean power of each
  std::size_t second_count_ = 0;
  double all_power_sum_ = 0.0;
};

}  // namespace brink::listen
