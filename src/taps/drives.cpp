#include "taps/drives.h"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace brink::taps {
namespace {

using Complex = std::complex<double>;
using Matrix = Eigen::MatrixXcd;
using Eigen::Index;

// Chosen on the seeds from 1001 on of bench_taps.
constexpr double kBandRateHz = 400.0;  // a step is shorter than the delay of any loop
constexpr Index kPast = 10;            // steps: 25 ms
// Two weights of "all are sent to one output alike", by power: for what comes back of a tone, and
// for each step of it, which keeps a predictor steady that the sound does not tell.
constexpr double kOneOutput = 0.1;
constexpr double kSteadying = 1e-3;

constexpr double kTurn = 2.0 * std::numbers::pi;
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

/// The band around a frequency, turned down to 0 Hz: one row for each tap, oldest first.
struct Band {
  Matrix samples;
  double rate_hz;
};

/// A low-pass of four steps' length (Hamming) that is turned up to the frequency.
struct BandFilter {
  BandFilter(double turns_per_sample, int step) {
    const int half = 2 * step;
    constexpr double kCut = 0.8;  // of half the band's rate
    double sum = 0.0;
    for (int n = -half; n <= half; ++n) {
      const double x = std::numbers::pi * kCut * n / step;
      const double sinc = n == 0 ? 1.0 : std::sin(x) / x;
      const double weight = sinc * (0.54 + 0.46 * std::cos(std::numbers::pi * n / half));
      sum += weight;
      real.push_back(weight * std::cos(kTurn * turns_per_sample * n));
      imag.push_back(-weight * std::sin(kTurn * turns_per_sample * n));
    }
    scale = 1.0 / sum;
  }

  [[nodiscard]] Complex over(const double* samples) const noexcept {
    double sum_real = 0.0;
    double sum_imag = 0.0;
    for (std::size_t n = 0; n < real.size(); ++n) {
      sum_real += real[n] * samples[n];
      sum_imag += imag[n] * samples[n];
    }
    return {scale * sum_real, scale * sum_imag};
  }

  std::vector<double> real, imag;
  double scale;
};

Band band_around(const TapHistory& history,
                 std::span<const std::size_t> taps,
                 double frequency_hz,
                 std::int64_t end) {
  const double rate_hz = history.sample_rate_hz();
  const int step = std::max(1, static_cast<int>(std::lround(rate_hz / kBandRateHz)));
  const BandFilter filter{frequency_hz / rate_hz, step};
  const auto length = static_cast<std::int64_t>(filter.real.size());
  const std::int64_t heard = std::min(end, static_cast<std::int64_t>(kDrivesS * rate_hz));
  const std::int64_t count = heard < length ? 0 : (heard - length) / step + 1;
  const std::int64_t from = end - length - (count - 1) * step;
  Band band{Matrix(static_cast<Index>(taps.size()), count), rate_hz / step};
  std::vector<double> samples(static_cast<std::size_t>(end - from));
  for (std::size_t row = 0; row < taps.size(); ++row) {
    for (std::size_t n = 0; n < samples.size(); ++n) {
      samples[n] =
          static_cast<double>(history.sample(taps[row], from + static_cast<std::int64_t>(n)));
    }
    for (std::int64_t i = 0; i < count; ++i) {
      const double turns = static_cast<double>(i * step) * (frequency_hz / rate_hz);
      band.samples(static_cast<Index>(row), i) =
          std::polar(1.0, -kTurn * (turns - std::floor(turns))) *
          filter.over(&samples[static_cast<std::size_t>(i * step)]);
    }
  }
  return band;
}

/// What comes back of one step of a growing tone on each tap, kPast steps together: the loop as far
/// as the sound tells it.
Matrix predictor_at(const Band& band, const Eigen::VectorXcd& levels, double growth_db_per_s) {
  const Matrix& x = band.samples;
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
  Matrix own = Matrix::Zero(past.rows(), past.rows());
  own.selfadjointView<Eigen::Lower>().rankUpdate(past);
  Matrix cross = now * past.adjoint();
  const double mean = own.trace().real() / static_cast<double>(own.rows());
  // A tone that grows was smaller by this a step ago, and again the step before.
  const double step = std::exp(-growth_db_per_s / kDbPerNeper / band.rate_hz);
  Eigen::VectorXd faded(kPast);
  for (Index k = 0; k < kPast; ++k) {
    faded[k] = std::pow(step, static_cast<double>(k + 1));
  }
  const Complex mix = levels.sum();
  // Where the taps cancel in a sum, one output is not likely.
  const double mix_power = std::max(std::norm(mix), 0.1 * levels.squaredNorm());
  const Eigen::VectorXcd of_one_output = levels * (std::conj(mix) / mix_power);
  const double steadying = kSteadying * mean;
  for (Index tap = 0; tap < taps; ++tap) {
    const double weight =
        kOneOutput * own(tap, tap).real() / kPast + steadying / faded.squaredNorm();
    for (Index k = 0; k < kPast; ++k) {
      cross.col(k * taps + tap) += of_one_output * (weight * faded[k]);
    }
  }
  const Eigen::VectorXd power = own.diagonal().head(taps).real();
  for (Index a = 0; a < kPast; ++a) {
    for (Index b = 0; b <= a; ++b) {
      own.block(a * taps, b * taps, taps, taps).diagonal() +=
          (kOneOutput / kPast * faded[a] * faded[b] * power).cast<Complex>();
    }
  }
  own.diagonal().array() += steadying + 1e-300;
  const Matrix weights = own.selfadjointView<Eigen::Lower>().ldlt().solve(cross.adjoint());
  Matrix sum = Matrix::Zero(taps, taps);
  for (Index k = 0; k < kPast; ++k) {
    sum += faded[k] * weights.middleRows(k * taps, taps).adjoint();
  }
  return sum;
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
  const Band band = band_around(history, taps, ring.frequency_hz, end);
  Eigen::RowVectorXd left = Eigen::RowVectorXd::Ones(levels.size());
  if (band.samples.cols() > 2 * kPast && levels.squaredNorm() > 0.0) {
    const Matrix loop = predictor_at(band, levels, ring.growth_db_per_s);
    left = without_phase(left_null(Matrix::Identity(loop.rows(), loop.cols()) - loop), levels);
  }
  for (std::size_t i = 0; i < taps.size(); ++i) {
    drives[taps[i]] = left[static_cast<Index>(i)];
  }
  return drives;
}

}  // namespace brink::taps
