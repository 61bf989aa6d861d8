#pragma once

#include <complex>
#include <optional>
#include <span>
#include <vector>

#include "base/biquad.h"

namespace brink::loop {

/// Complex gain once around the loop over frequency: what a planner of cuts works on.
struct LoopResponse {
  std::vector<double> frequency_hz;  ///< rising, from 0 to half the sample rate
  std::vector<std::complex<double>> gain;
};

/// A frequency at which the loop's phase is a whole number of turns: the loop gain there decides.
struct Crossing {
  double frequency_hz = 0.0;
  double gain_db = 0.0;  ///< of the open loop; above 0 the loop is unstable
};

/// A solution of L(s) = 1: a tone that the closed loop sustains by itself, growing or decaying.
struct Pole {
  double frequency_hz = 0.0;
  double growth_db_per_s = 0.0;  ///< negative: decays
};

/// The loop cut open at one place: impulse response, everything in it, and sections of an
/// equaliser. Evaluated from the samples themselves, in double precision, at any complex frequency.
class OpenLoop {
 public:
  /// `taps`: impulse response around the loop, console delay included. Throws Error when empty.
  OpenLoop(std::vector<double> taps, std::vector<base::Biquad> sections, double sample_rate_hz);

  struct Value {
    std::complex<double> gain;  ///< L(s)
    std::complex<double>
        log_slope;  ///< d ln L / ds, in seconds; minus its real part is group delay
  };

  /// Exact, by Horner's rule over the taps: linear time in their number. `s`: growth 1/s and
  /// angular frequency rad/s.
  [[nodiscard]] Value at(std::complex<double> s) const noexcept;

  /// On the steady tone of one frequency.
  [[nodiscard]] Value at_hz(double frequency_hz) const noexcept;

  /// How late a tone comes around, in seconds; growth per excess gain is its inverse.
  [[nodiscard]] double group_delay_s(double frequency_hz) const noexcept;

  /// On an even grid, at least 8 times as fine as one over the response's length, so that neither
  /// phase nor level turns far between two points.
  [[nodiscard]] LoopResponse response() const;

  /// Every whole-turn frequency whose gain is at least `least_gain_db`, rising in frequency; exact
  /// to rounding. `grid` is response() of this loop.
  [[nodiscard]] std::vector<Crossing> crossings(const LoopResponse& grid,
                                                double least_gain_db) const;

  /// The pole that belongs to a crossing when the loop gain is raised by `extra_gain_db`: Newton's
  /// method on ln L(s) = whole turns. Nothing when it does not settle near the crossing.
  [[nodiscard]] std::optional<Pole> pole(double near_hz, double extra_gain_db) const noexcept;

  [[nodiscard]] double sample_rate_hz() const noexcept { return sample_rate_hz_; }

 private:
  [[nodiscard]] Crossing refine(double low_hz, double high_hz) const noexcept;

  std::vector<double> taps_;
  std::vector<base::Biquad> sections_;
  double sample_rate_hz_;
};

/// Gain in dB by which the loop could be raised until the first of its poles stops decaying
/// (negative: it already grows): minus the highest gain of any crossing. No crossing at all:
/// kUnlimitedGainDb.
[[nodiscard]] double max_stable_gain_db(const OpenLoop& loop);

inline constexpr double kUnlimitedGainDb = 200.0;

}  // namespace brink::loop
