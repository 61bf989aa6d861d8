#pragma once

#include <complex>
#include <optional>
#include <span>
#include <vector>

#include "base/biquad.h"

namespace brink::loop {

/// Complex gain once around the loop, over frequency. A planner of cuts works on this.
struct LoopResponse {
  std::vector<double> frequency_hz;  ///< rising, from 0 to half the sample rate
  std::vector<std::complex<double>> gain;
};

/// A frequency at which the loop's phase is a whole number of turns. The loop gain there decides
/// whether the loop is stable.
struct Crossing {
  double frequency_hz = 0.0;
  double gain_db = 0.0;  ///< of the open loop; above 0 the loop is unstable
};

/// A solution of L(s) = 1: a tone that the closed loop keeps up without input. It grows or decays.
struct Pole {
  double frequency_hz = 0.0;
  double growth_db_per_s = 0.0;  ///< negative: decays
};

/// The loop, cut open at one place: its impulse response with everything in it, and the sections of
/// an equaliser. It is evaluated at any complex frequency from the samples themselves, in double
/// precision.
class OpenLoop {
 public:
  /// `taps`: impulse response once around the loop, console delay included. Throws Error when
  /// empty.
  OpenLoop(std::vector<double> taps, std::vector<base::Biquad> sections, double sample_rate_hz);

  struct Value {
    std::complex<double> gain;  ///< L(s)
    /// d ln L / ds, in seconds; its real part is minus the group delay.
    std::complex<double> log_slope;
  };

  /// Exact value, by Horner's rule over the taps; the time is linear in their number. `s`: growth
  /// in 1/s and angular frequency in rad/s.
  [[nodiscard]] Value at(std::complex<double> s) const noexcept;

  /// L for the steady tone of one frequency.
  [[nodiscard]] Value at_hz(double frequency_hz) const noexcept;

  /// Group delay once around the loop, in seconds. Growth per excess gain is its inverse.
  [[nodiscard]] double group_delay_s(double frequency_hz) const noexcept;

  /// The response on an even grid, at least 8 times as fine as one over the response's length. So
  /// phase and level change little between two points.
  [[nodiscard]] LoopResponse response() const;

  /// Every whole-turn frequency with a gain of at least `least_gain_db`, rising in frequency. Exact
  /// to rounding. `grid` is response() of this loop.
  [[nodiscard]] std::vector<Crossing> crossings(const LoopResponse& grid,
                                                double least_gain_db) const;

  /// The pole that belongs to a crossing when the loop gain is raised by `extra_gain_db`. Newton's
  /// method on ln L(s) = whole turns. Nothing when the method does not end near the crossing.
  [[nodiscard]] std::optional<Pole> pole(double near_hz, double extra_gain_db) const noexcept;

  [[nodiscard]] double sample_rate_hz() const noexcept { return sample_rate_hz_; }

 private:
  [[nodiscard]] Crossing refine(double low_hz, double high_hz) const noexcept;

  std::vector<double> taps_;
  std::vector<base::Biquad> sections_;
  double sample_rate_hz_;
};

/// By how many dB the loop could be raised until the first of its poles stops decaying: minus the
/// highest gain of any crossing. Negative when a pole grows already. kUnlimitedGainDb when there is
/// no crossing.
[[nodiscard]] double max_stable_gain_db(const OpenLoop& loop);

inline constexpr double kUnlimitedGainDb = 200.0;

}  // namespace brink::loop
