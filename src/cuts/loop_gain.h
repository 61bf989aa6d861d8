#pragma once

#include <complex>
#include <span>
#include <vector>

namespace brink::cuts {

/// The loop's open gain L(f) at evenly spaced frequencies: first_hz, first_hz + step_hz, ... It is
/// a view: the caller keeps the values alive.
///
/// The step must be fine enough for the loop. Where the gain is high, the phase should turn by less
/// than an eighth of a turn between neighbours. So the step is at most about 0.3 / T60 Hz. first_hz
/// > 0.
struct LoopGain {
  double first_hz = 0.0;
  double step_hz = 0.0;
  std::span<const std::complex<double>> gain;

  [[nodiscard]] double frequency_hz(std::size_t index) const noexcept {
    return first_hz + step_hz * static_cast<double>(index);
  }
};

/// A frequency at which the loop phase is a whole number of turns, with the level of the gain
/// there. 0 dB is the brink.
struct Crossing {
  double frequency_hz = 0.0;
  double level_db = 0.0;
};

/// The crossing between two neighbouring values of a loop's gain. Between the two, the gain is
/// taken as a straight line and its power as changing evenly. `power` is the squared magnitude at
/// the crossing, or -1 when there is none. `position` is where it lies: 0 at `a`, 1 at `b`.
struct CellCrossing {
  double power = -1.0;
  double position = 0.0;
};

[[nodiscard]] inline CellCrossing cross_cell(std::complex<double> a,
                                             std::complex<double> b) noexcept {
  // A crossing needs imaginary parts of opposite sign, and a positive real part where the line
  // between the values crosses zero.
  const double ai = a.imag();
  const double bi = b.imag();
  if ((ai < 0.0) == (bi < 0.0)) {
    return {};
  }
  // The real part where the imaginary part is zero: (a.real * bi - b.real * ai) / (bi - ai).
  if ((a.real() * bi - b.real() * ai) * (bi - ai) <= 0.0) {
    return {};
  }
  const double position = ai / (ai - bi);
  return {std::norm(a) + position * (std::norm(b) - std::norm(a)), position};
}

/// All crossings at most `range_db` below the highest one, highest first. Empty when the phase
/// never is a whole turn: such a loop cannot ring.
[[nodiscard]] std::vector<Crossing> find_crossings(const LoopGain& loop, double range_db);

/// The highest crossing. Its level is kSilenceDb when there is none.
[[nodiscard]] Crossing highest_crossing(const LoopGain& loop) noexcept;

}  // namespace brink::cuts
