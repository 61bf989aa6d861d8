#pragma once

#include <optional>
#include <span>
#include <vector>

#include "loop/sweep/measured_band.h"
#include "loop/sweep/sweep.h"

namespace brink::loop {

/// The way from an output to a tap, measured, and what is known of the measurement.
struct MeasuredLoop {
  double sample_rate_hz = 0.0;
  std::vector<double> taps;  ///< impulse response
  /// When taps[0] is heard after it left the output: kEarlyS before, so below 0. Nothing while the
  /// devices' own delay is not known; then the response begins kEarlyS before the first sound.
  std::optional<double> starts_s;
  double direct_s = 0.0;  ///< of the first sound, after taps[0]
  std::vector<MeasuredBand> bands;

  double sound_dbfs = 0.0;  ///< of the recording, while the sweep is played, root mean square
  double noise_dbfs = 0.0;  ///< of the recording, before the sweep
  double peak_dbfs = 0.0;
  std::size_t clipped_samples = 0;  ///< at full scale
  double distortion_lin = 0.0;      ///< second and third harmonic over the response, of amplitude
  double clock_ppm = 0.0;  ///< how much faster the recorder's clock runs; corrected in `taps`
  bool has_lost_samples = false;  ///< the two sweeps' distance fits no clock
  /// How much the two responses differ, over their mean and beyond what the noise does; of power.
  double change_db = 0.0;
  double late_peak_db = 0.0;  ///< see is_closed_loop()
};

/// A response that is limited to a band begins before its first sound.
inline constexpr double kEarlyS = 0.03;

/// No clock in a sound device is so far off another's.
inline constexpr double kMostClockPpm = 300.0;

/// From the recording of `signal`: both responses by deconvolve(), the clocks' difference by what
/// the second comes too late, which the sweep is then made anew for; their mean, and by half their
/// difference the noise. In each octave the response ends where it sinks into that noise.
/// `latency_s`: of the devices between player and recorder, when it is known, as in a simulation or
/// by recording what was sent beside what came back (find_latency_s). Throws Error when the
/// recording is too short, or when it holds no sweep. `prepared`: for this sweep and at least so
/// long a recording.
[[nodiscard]] MeasuredLoop measure_loop(std::span<const float> recording,
                                        const SweepSignal& signal,
                                        std::optional<double> latency_s,
                                        Deconvolver& prepared);
[[nodiscard]] MeasuredLoop measure_loop(std::span<const float> recording,
                                        const SweepSignal& signal,
                                        std::optional<double> latency_s);

/// When in an impulse response the first sound comes: the first sample that reaches a fifth of the
/// highest.
[[nodiscard]] double first_sound_s(std::span<const double> taps, double sample_rate_hz) noexcept;

/// When in a recording of the sent signal itself the first sweep begins, less SweepSignal::lead_s.
[[nodiscard]] double find_latency_s(std::span<const float> recording, const SweepSignal& signal);

/// Whether the way back was not shut: a loop that closes makes tones in the end of its response,
/// narrower than any room's. Notices loops nearer to the brink than about 3 dB.
[[nodiscard]] bool is_closed_loop(const MeasuredLoop& loop) noexcept;

}  // namespace brink::loop
