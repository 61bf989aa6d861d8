#pragma once

#include <complex>
#include <span>
#include <vector>

namespace brink::cuts {

/// The loop's open gain L(f) at uniform frequencies: first_hz, first_hz + step_hz, ... A view; the
/// caller keeps the values alive.
///
/// The step must be fine enough for the loop: between neighbours the phase should turn by less than
/// an eighth of a turn where the gain is high, so at most about 0.3 / T60 Hz. first_hz > 0.
struct LoopGain {
  double first_hz = 0.0;
  double step_hz = 0.0;
  std::span<const std::complex<double>> gain;

  [[nodiscard]] double frequency_hz(std::size_t index) const noexcept {
    return first_hz + step_hz * static_cast<double>(index);
  }
};

/// A frequency at which the loop phase is a whole number of turns, and the level of the gain there:
/// 0 dB is the brink.
struct Crossing {
  double frequency_hz = 0.0;
  double level_db = 0.0;
};

/// Between two neighbouring values of a loop's gain: is there a whole turn, and how high is it?
/// From one to the other the gain is taken to run along a straight line, its power to change
/// evenly. Returns the squared magnitude at the crossing and where it lies (0 at `a`, 1 at `b`);
/// power -1 when there is none.
struct CellCrossing {
  double power = -1.0;
  double position = 0.0;
};

[[nodiscard]] inline CellCrossing cross_cell(std::complex<double> a,
                                             std::complex<double> b) noexcept {
  // Opposite signs of the imaginary part, and on the positive real side where the line between
  // them crosses.
  const double ai = a.imag();
  const double bi = b.imag();
  if ((ai < 0.0) == (bi < 0.0)) {
    return {};
  }
  // Real part where the imaginary one is zero: (a.real * bi - b.real * ai) / (bi - ai).
  if ((a.real() * bi - b.real() * ai) * (bi - ai) <= 0.0) {
    return {};
  }
  const double position = ai / (ai - bi);
  return {std::norm(a) + position * (std::norm(b) - std::norm(a)), position};
}

/// All crossings of the loop not more than `range_db` under the highest, highest first. Empty when
/// the phase never is a whole turn: such a loop cannot ring.
[[nodiscard]] std::vector<Crossing> find_crossings(const LoopGain& loop, double range_db);

/// The highest crossing; level kSilenceDb where there is none.
[[nodiscard]] Crossing highest_crossing(const LoopGain& loop) noexcept;

}  // namespace brink::cuts
