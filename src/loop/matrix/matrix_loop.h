#pragma once

#include <complex>
#include <optional>
#include <vector>

#include "loop/matrix/matrix_config.h"
#include "loop/open_loop.h"

namespace brink::loop {

/// How much of a ring is in each microphone, and in each pair of microphone and output.
struct Shares {
  /// By microphone. The sum is 1. A share is the change of the ring's loop gain in dB when that
  /// channel alone is raised by a small 1 dB. Negative: the channel holds the ring back.
  std::vector<double> microphone;
  std::vector<std::vector<double>> pair;  ///< [microphone][output]; the sum over outputs is
                                          ///< the microphone's share
};

/// The loops of a MatrixConfig, cut open at the outputs: K(s), one row and one column for each
/// output. K[j][l] is the gain from loudspeaker l through every microphone to loudspeaker j. The
/// plan's gain is not in it.
///
/// A tone keeps itself up where an eigenvalue of K is 1, which is det(I - K(s)) = 0. On the
/// frequency axis the eigenvalues make loci, and each real positive value of a locus is a Crossing
/// (A. G. J. MacFarlane, I. Postlethwaite, "The generalized Nyquist stability criterion and
/// multivariable root loci", Int. J. Control 25(1), 81-127, 1977). [any]
class MatrixLoop {
 public:
  /// Throws Error on a bad config.
  explicit MatrixLoop(const MatrixConfig& config);

  /// Every frequency at which an eigenvalue is real and positive, and at least `least_gain_db`;
  /// rising in frequency. Exact to rounding.
  [[nodiscard]] std::vector<Crossing> crossings(double least_gain_db) const;

  /// The pole that belongs to a crossing when all outputs are raised by `extra_gain_db`: Newton's
  /// method on ln(eigenvalue) + gain = whole turns. Nothing when it does not end near the crossing.
  [[nodiscard]] std::optional<Pole> pole(const Crossing& crossing, double extra_gain_db) const;

  /// The shares of a pole, from the left and right eigenvectors l and r of K there: the derivative
  /// of ln(eigenvalue) by the logarithm of a factor is l (dK) r / (eigenvalue l r). This is the
  /// participation factor of modal analysis (I. J. Perez-Arriaga, G. C. Verghese, F. C. Schweppe,
  /// "Selective modal analysis with applications to electric power systems", IEEE Trans. PAS-101,
  /// 1982; from memory), of which the real part is taken: what moves the gain and not the phase.
  [[nodiscard]] Shares shares(const Pole& pole, double extra_gain_db) const;

  /// By how many dB all outputs can be raised until the first pole stops decaying; kUnlimitedGainDb
  /// when no loop closes.
  [[nodiscard]] double max_stable_gain_db() const;

 private:
  using Complex = std::complex<double>;
  struct Values;
  struct Grid;

  [[nodiscard]] Values at(Complex s) const;
  [[nodiscard]] Grid make_grid() const;
  [[nodiscard]] std::vector<Crossing> crossings(const Grid& grid, double least_gain_db) const;
  [[nodiscard]] Crossing refine(double low_hz, double high_hz, Complex from, Complex to) const;

  MatrixConfig config_;
  std::vector<std::vector<OpenLoop>> paths_;  // [microphone][output], channel included
  std::vector<OpenLoop> outputs_;             // the outputs' equalisers
};

}  // namespace brink::loop
