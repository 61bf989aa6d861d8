#include "taps/drives.h"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "taps/ring_band.h"

namespace brink::taps {
namespace {

using Complex = std::complex<double>;
using Matrix = Eigen::MatrixXcd;
using Eigen::Index;

// Chosen on the seeds 1001 to 1060 of bench_taps.
constexpr double kBandRateHz = 400.0;  // a step is shorter than the delay of any loop
constexpr Index kPast = 10;            // steps: 25 ms
// Weights of "all are sent to one output alike", by power: for what comes back of a tone, and for
// each step of it, which keeps a predictor steady that the sound does not tell. The outputs are
// looked for with a steadier one.
constexpr double kOneOutput = 0.1;
constexpr double kSteadying = 1e-3;
constexpr double kCalming = 0.05;
constexpr Index kOutputs = 2;  // that count in one band; with 1 and with 3 fewer names are right
constexpr int kRounds = 30;

constexpr double kDbPerNeper = 20.0 / std::numbers::ln10;

std::vector<std::size_t> loudest(std::span<const Complex> levels) {
  std::vector<std::size_t> taps(levels.size());
  std::iota(taps.begin(), taps.end(), std::size_t{0});
  const std::size_t count = std::min(taps.size(), kMostDriveTaps);
  std::partial_sort(
      taps.begin(),
      taps.begin() + static_cast<std::ptrdiff_t>(count),
      taps.end(),
      [&](std::size_t a, std::size_t b) { return std::norm(levels[a]) > std::norm(levels[b]); });
  taps.resize(count);
  return taps;
}

/// The taps' past beside what follows, summed up over the moments of a band: all that a least
/// squares prediction of the taps from their own past needs.
struct Moments {
  Matrix own;             ///< of the past with itself: kPast blocks of all taps each way
  Matrix cross;           ///< of what follows with the past
  Eigen::VectorXd power;  ///< of each tap

  explicit Moments(const Matrix& x) {
    const Index taps = x.rows();
    const Index looks = x.cols() - kPast;
    Matrix past(taps * kPast, looks);
    Matrix now = x.rightCols(looks);
    for (Index k = 1; k <= kPast; ++k) {
      past.middleRows((k - 1) * taps, taps) = x.middleCols(kPast - k, looks);
    }
    // Each moment counts alike: else the loud end of the ring would count alone.
    for (Index i = 0; i < looks; ++i) {
      const double size = past.col(i).head(taps).norm();
      const double weight = size > 0.0 ? 1.0 / size : 0.0;
      past.col(i) *= weight;
      now.col(i) *= weight;
    }
    own = Matrix::Zero(past.rows(), past.rows());
    own.selfadjointView<Eigen::Lower>().rankUpdate(past);
    cross = now * past.adjoint();
    power = own.diagonal().head(taps).real();
  }

  [[nodiscard]] Index taps() const noexcept { return cross.rows(); }
};

/// The prediction of a growing tone. Where the sound says little, all taps count as sent to one
/// output alike. `steadying`: how much they do so at each step, of a tap's power. `faded`: the tone
/// so many steps ago.
Matrix weights_of_tone(Moments moments,
                       const Eigen::VectorXcd& levels,
                       const Eigen::VectorXd& faded,
                       double steadying) {
  const Index taps = moments.taps();
  const Complex mix = levels.sum();
  // Where the taps cancel in a sum, one output is not likely.
  const double mix_power = std::max(std::norm(mix), 0.1 * levels.squaredNorm());
  const Eigen::VectorXcd of_one_output = levels * (std::conj(mix) / mix_power);
  const double weight = kOneOutput / kPast + steadying / faded.squaredNorm();
  for (Index a = 0; a < kPast; ++a) {
    moments.cross.middleCols(a * taps, taps) +=
        of_one_output * (weight * faded[a] * moments.power).transpose();
    for (Index b = 0; b <= a; ++b) {
      moments.own.block(a * taps, b * taps, taps, taps).diagonal() +=
          (kOneOutput / kPast * faded[a] * faded[b] * moments.power).cast<Complex>();
    }
    moments.own.diagonal().segment(a * taps, taps) += (steadying * moments.power).cast<Complex>();
  }
  moments.own.diagonal().array() += 1e-300;  // silent taps
  return moments.own.selfadjointView<Eigen::Lower>()
      .ldlt()
      .solve(moments.cross.adjoint())
      .adjoint();
}

/// What is sent to the kOutputs outputs that matter most, as a projection: of taps that are scaled
/// to the same power it leaves these sums alone. `weights`: of such taps.
///
/// An output is the same sum of channels at every moment. So what a tap gets of the taps' past has
/// only as many parts as there are outputs. They are found from what each tap gets of the others.
/// What a tap foretells of itself is left out, and filled in from the rest: a held note foretells
/// itself as a loop does. Without that a few taps do not tell the parts; then nothing is left out.
Eigen::MatrixXd onto_outputs(const Matrix& weights) {
  const Index taps = weights.rows();
  Eigen::MatrixXd got(2 * weights.size() / taps, taps);  // a row for each tap, again and again
  for (Index k = 0; k < kPast; ++k) {
    got.middleRows(2 * k * taps, taps) = weights.middleCols(k * taps, taps).real();
    got.middleRows((2 * k + 1) * taps, taps) = weights.middleCols(k * taps, taps).imag();
  }
  Eigen::MatrixXd onto = Eigen::MatrixXd::Identity(taps, taps);
  Eigen::MatrixXd filled = Eigen::MatrixXd::Zero(got.rows(), taps);
  for (int round = 0; round < kRounds && taps > 2 * kOutputs; ++round) {
    for (Index row = 0; row < got.rows(); ++row) {
      got(row, row % taps) = filled(row, row % taps);
    }
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> parts{got.transpose() * got};
    const auto outputs = parts.eigenvectors().rightCols(kOutputs);
    onto = outputs * outputs.transpose();
    filled = got * onto;
  }
  return onto;
}

/// What comes back of one step of a growing tone on each tap, kPast steps together: the loop as far
/// as the sound tells it.
Matrix loop_at(const RingBand& band, const Eigen::VectorXcd& levels, double growth_db_per_s) {
  const Moments moments{band.samples};
  const Index taps = moments.taps();
  // A tone that grows was smaller by this a step ago, and again the step before.
  const double step = std::exp(-growth_db_per_s / kDbPerNeper / band.rate_hz);
  Eigen::VectorXd faded(kPast);
  for (Index k = 0; k < kPast; ++k) {
    faded[k] = std::pow(step, static_cast<double>(k + 1));
  }
  Eigen::VectorXd scale = moments.power.cwiseSqrt();
  scale = scale.cwiseMax(1e-6 * scale.maxCoeff());  // silent taps
  Matrix calm = weights_of_tone(moments, levels, faded, kCalming);
  const Matrix weights = weights_of_tone(moments, levels, faded, kSteadying);
  Matrix loop = Matrix::Zero(taps, taps);
  for (Index k = 0; k < kPast; ++k) {
    auto one = calm.middleCols(k * taps, taps);
    one = (scale.cwiseInverse().asDiagonal() * one * scale.asDiagonal()).eval();
    loop += faded[k] * weights.middleCols(k * taps, taps);
  }
  return loop * scale.asDiagonal() * onto_outputs(calm) * scale.cwiseInverse().asDiagonal();
}

/// The row that a matrix comes nearest to turning into zeros.
Eigen::RowVectorXcd left_null(const Matrix& matrix) {
  const Eigen::SelfAdjointEigenSolver<Matrix> solver{matrix * matrix.adjoint()};
  return solver.eigenvectors().col(0).adjoint();
}

/// A send is a gain without a phase: what is left of the drives when those that matter are turned
/// to zero phase together.
Eigen::RowVectorXd without_phase(const Eigen::RowVectorXcd& left, const Eigen::VectorXcd& levels) {
  const Complex turn = (left.array() * left.array().abs() * levels.transpose().array().abs()).sum();
  const double size = std::abs(turn);
  return size > 0.0 ? (left * (std::conj(turn) / size)).real().cwiseMax(0.0).eval()
                    : left.cwiseAbs().eval();
}

}  // namespace

std::vector<double> find_drives(const TapHistory& history, const TapTone& ring, std::int64_t end) {
  const std::vector<std::size_t> taps = loudest(ring.levels);
  Eigen::VectorXcd levels(static_cast<Index>(taps.size()));
  for (std::size_t i = 0; i < taps.size(); ++i) {
    levels[static_cast<Index>(i)] = ring.levels[taps[i]];
  }
  std::vector<double> drives(ring.levels.size());
  const RingBand band = band_around(history, taps, ring.frequency_hz, kBandRateHz, kDrivesS, end);
  Eigen::RowVectorXd left = Eigen::RowVectorXd::Ones(levels.size());
  if (band.samples.cols() > 2 * kPast && levels.squaredNorm() > 0.0) {
    const Matrix loop = loop_at(band, levels, ring.growth_db_per_s);
    left = without_phase(left_null(Matrix::Identity(loop.rows(), loop.cols()) - loop), levels);
  }
  for (std::size_t i = 0; i < taps.size(); ++i) {
    drives[taps[i]] = left[static_cast<Index>(i)];
  }
  return drives;
}

}  // namespace brink::taps
