#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace brink::loop {

/// A sine whose frequency rises by equal ratios in equal times: A. Farina, "Simultaneous
/// measurement of impulse response and distortion with a swept-sine technique", 108th AES
/// Convention, 2000. Soft at both ends.
struct SweepConfig {
  double sample_rate_hz = 48000.0;  ///< 8000 to 192000
  double low_hz = 40.0;             ///< 10 or more, at least an octave under the highest
  double high_hz = 20000.0;         ///< moved down to 0.45 of the sample rate
  double length_s = 8.0;            ///< 0.1 to 60
};

/// What is played: silence, so that the output's own ramp is over; the sweep; silence in which the
/// room decays; and, so that two responses can be compared, both once more.
struct SweepSignal {
  SweepConfig sweep;
  double lead_s = 0.5;   ///< 0.4 or more; its noise is measured
  double decay_s = 3.0;  ///< 0.1 to 20: as long as the response may be
  int count = 2;         ///< sweeps, 1 or 2

  [[nodiscard]] double length_s() const noexcept {
    return lead_s + count * (sweep.length_s + decay_s);
  }
};

/// The sweep at a peak of 1, as a recorder hears it whose clock runs `clock_ratio` times as fast as
/// the player's. Throws Error on a config that cannot be.
[[nodiscard]] std::vector<double> exponential_sweep(const SweepConfig& config,
                                                    double clock_ratio = 1.0);

/// The whole signal at a peak of 1.
[[nodiscard]] std::vector<float> sweep_signal(const SweepSignal& signal);

/// Finds what, convolved with the sweep, gives a recording: by the quotient of their spectra, which
/// is let down softly where the sweep has no power. In the result sample n is what comes n samples
/// after a sweep began; the circle is long enough that times before 0 stand apart at its end. There
/// lies what a loudspeaker adds by its distortion: harmonic k comes early by
/// distortion_lead_s(config, k). [one thread]
class Deconvolver {
 public:
  /// For recordings of at most so many samples. Throws Error on a config that cannot be. What does
  /// not need the recording is done here: it can be made while the sweep is played.
  Deconvolver(const SweepConfig& config, std::size_t most_samples, double clock_ratio = 1.0);
  ~Deconvolver();
  Deconvolver(Deconvolver&&) noexcept;
  Deconvolver& operator=(Deconvolver&&) noexcept;
  Deconvolver(const Deconvolver&) = delete;
  Deconvolver& operator=(const Deconvolver&) = delete;

  /// A NaN or an infinity counts as silence. Throws Error when the recording is empty or too long.
  [[nodiscard]] std::vector<double> run(std::span<const float> recording);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// How much before the response the one of harmonic `order` (2 or more) comes, seconds.
[[nodiscard]] double distortion_lead_s(const SweepConfig& config, int order) noexcept;

}  // namespace brink::loop
