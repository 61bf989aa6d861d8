#include "loop/matrix/matrix_loop.h"

#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/units.h"

namespace brink::loop {
namespace {

using Complex = std::complex<double>;
using Matrix = Eigen::MatrixXcd;

constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr double kDbPerNeper = 20.0 / std::numbers::ln10;

Eigen::Index index(std::size_t i) noexcept {
  return static_cast<Eigen::Index>(i);
}

/// One eigenvalue with its vectors, scaled so that left * right = 1.
struct Mode {
  Complex value;
  Eigen::RowVectorXcd left;
  Eigen::VectorXcd right;
};

Mode mode_nearest(const Matrix& gain, Complex to) {
  const Eigen::ComplexEigenSolver<Matrix> solver{gain};
  Eigen::Index nearest = 0;
  (solver.eigenvalues().array() - to).abs().minCoeff(&nearest);
  return {solver.eigenvalues()[nearest],
          solver.eigenvectors().inverse().row(nearest),
          solver.eigenvectors().col(nearest)};
}

Eigen::VectorXcd eigenvalues(const Matrix& gain) {
  if (gain.rows() == 1) {
    return gain.col(0);
  }
  return Eigen::ComplexEigenSolver<Matrix>{gain, false}.eigenvalues();
}

// Pairs each eigenvalue with the nearest of the next bin: the loci are continuous, and the grid is
// fine.
void pair_up(const Eigen::VectorXcd& from, Eigen::VectorXcd& to) {
  for (Eigen::Index i = 0; i < from.size(); ++i) {
    Eigen::Index nearest = 0;
    (to.tail(to.size() - i).array() - from[i]).abs().minCoeff(&nearest);
    std::swap(to[i], to[i + nearest]);
  }
}

}  // namespace

struct MatrixLoop::Values {
  Matrix bring;        // P: loudspeaker to channel, by microphone and output
  Matrix bring_slope;  // dP/ds
  Matrix send;         // by output and microphone, the output's equaliser included
  Matrix send_slope;

  [[nodiscard]] Matrix gain() const { return send * bring; }

  [[nodiscard]] Matrix slope() const { return send_slope * bring + send * bring_slope; }
};

/// K on an even grid of frequencies.
struct MatrixLoop::Grid {
  std::vector<double> frequency_hz;
  std::vector<Complex> gain;  // bin by bin, each a matrix, column by column
  std::size_t outputs = 0;

  [[nodiscard]] Matrix at(std::size_t bin) const {
    return Eigen::Map<const Matrix>(
        gain.data() + bin * outputs * outputs, index(outputs), index(outputs));
  }

  // No eigenvalue is larger (Frobenius norm).
  [[nodiscard]] double bound(std::size_t bin) const { return at(bin).norm(); }
};

MatrixLoop::MatrixLoop(const MatrixConfig& config) : config_{config} {
  validate(config_);
  const std::size_t delay = config_.console_delay_samples();
  std::size_t length = 1;
  for (const auto& row : config_.path) {
    for (const std::vector<double>& path : row) {
      length = std::max(length, delay + path.size());
    }
  }
  for (std::size_t i = 0; i < config_.channels.size(); ++i) {
    const MatrixChannel& channel = config_.channels[i];
    std::vector<OpenLoop>& row = paths_.emplace_back();
    for (const std::vector<double>& path : config_.path[i]) {
      std::vector<double> taps(length);
      std::transform(path.begin(),
                     path.end(),
                     taps.begin() + static_cast<std::ptrdiff_t>(delay),
                     [&](double tap) { return gain_lin(channel) * tap; });
      row.emplace_back(std::move(taps), channel.sections, config_.sample_rate_hz);
    }
  }
  for (const MatrixOutput& output : config_.outputs) {
    outputs_.emplace_back(std::vector<double>{1.0}, output.sections, config_.sample_rate_hz);
  }
}

MatrixLoop::Values MatrixLoop::at(Complex s) const {
  const Eigen::Index microphones = index(config_.channels.size());
  const Eigen::Index outputs = index(config_.outputs.size());
  Values values{Matrix::Zero(microphones, outputs),
                Matrix::Zero(microphones, outputs),
                Matrix::Zero(outputs, microphones),
                Matrix::Zero(outputs, microphones)};
  for (std::size_t i = 0; i < paths_.size(); ++i) {
    for (std::size_t j = 0; j < outputs_.size(); ++j) {
      const OpenLoop::Value path = paths_[i][j].at(s);
      if (path.gain != 0.0) {  // without a path there is no slope of its logarithm
        values.bring(index(i), index(j)) = path.gain;
        values.bring_slope(index(i), index(j)) = path.gain * path.log_slope;
      }
      const OpenLoop::Value output = outputs_[j].at(s);
      values.send(index(j), index(i)) = output.gain * config_.channels[i].send_lin[j];
      values.send_slope(index(j), index(i)) = values.send(index(j), index(i)) * output.log_slope;
    }
  }
  return values;
}

MatrixLoop::Grid MatrixLoop::make_grid() const {
  Grid grid;
  grid.outputs = outputs_.size();
  for (std::size_t i = 0; i < paths_.size(); ++i) {
    for (std::size_t l = 0; l < outputs_.size(); ++l) {
      const LoopResponse response = paths_[i][l].response();
      if (grid.gain.empty()) {
        grid.frequency_hz = response.frequency_hz;
        grid.gain.assign(response.gain.size() * grid.outputs * grid.outputs, 0.0);
      }
      for (std::size_t bin = 0; bin < response.gain.size(); ++bin) {
        for (std::size_t j = 0; j < grid.outputs; ++j) {
          grid.gain[(bin * grid.outputs + l) * grid.outputs + j] +=
              config_.channels[i].send_lin[j] * response.gain[bin];
        }
      }
    }
  }
  for (std::size_t j = 0; j < grid.outputs; ++j) {
    for (std::size_t bin = 0; bin < grid.frequency_hz.size(); ++bin) {
      Complex equaliser = 1.0;
      for (const base::Biquad& section : config_.outputs[j].sections) {
        equaliser *= base::response(section, grid.frequency_hz[bin], config_.sample_rate_hz);
      }
      for (std::size_t l = 0; l < grid.outputs; ++l) {
        grid.gain[(bin * grid.outputs + l) * grid.outputs + j] *= equaliser;
      }
    }
  }
  return grid;
}

Crossing MatrixLoop::refine(double low_hz, double high_hz, Complex from, Complex to) const {
  const bool rises = from.imag() < to.imag();
  const double share = from.imag() / (from.imag() - to.imag());
  double frequency_hz = low_hz + share * (high_hz - low_hz);
  Complex value = from + share * (to - from);
  for (int round = 0; round < 40; ++round) {
    const Values values = at({0.0, kTurn * frequency_hz});
    const Mode mode = mode_nearest(values.gain(), value);
    value = mode.value;
    const double phase = std::arg(value);
    if (std::abs(phase) < 1e-10) {
      break;
    }
    ((phase < 0.0) == rises ? low_hz : high_hz) = frequency_hz;
    const Complex log_slope = (mode.left * values.slope() * mode.right).value() / value;
    double next_hz = frequency_hz - phase / (kTurn * log_slope.real());
    if (!(next_hz > low_hz && next_hz < high_hz)) {
      next_hz = 0.5 * (low_hz + high_hz);
    }
    if (std::abs(next_hz - frequency_hz) < 1e-10 * frequency_hz) {
      break;
    }
    frequency_hz = next_hz;
  }
  return {frequency_hz, base::amplitude_to_db(std::abs(value))};
}

std::vector<Crossing> MatrixLoop::crossings(const Grid& grid, double least_gain_db) const {
  std::vector<Crossing> found;
  // With room, since the chord lies lower than the curve.
  const double least_lin = base::db_to_amplitude(least_gain_db - 0.5);
  // At both ends the matrix is real, and an eigenvalue may be real without a change of sign.
  const auto add_real_end = [&](std::size_t bin) {
    for (const Complex& value : eigenvalues(grid.at(bin))) {
      const double gain_db = base::amplitude_to_db(std::max(0.0, value.real()));
      if (std::abs(value.imag()) <= 1e-12 * std::abs(value) && gain_db >= least_gain_db) {
        found.push_back({grid.frequency_hz[bin], gain_db});
      }
    }
  };
  add_real_end(0);
  Eigen::VectorXcd before;
  std::size_t before_bin = 0;
  for (std::size_t bin = 1; bin + 2 < grid.frequency_hz.size(); ++bin) {
    if (grid.bound(bin) < least_lin && grid.bound(bin + 1) < least_lin) {
      continue;
    }
    const Eigen::VectorXcd from =
        before.size() > 0 && before_bin == bin ? before : eigenvalues(grid.at(bin));
    Eigen::VectorXcd to = eigenvalues(grid.at(bin + 1));
    pair_up(from, to);
    for (Eigen::Index i = 0; i < from.size(); ++i) {
      const Complex a = from[i];
      const Complex b = to[i];
      if ((a.imag() < 0.0) == (b.imag() < 0.0)) {
        continue;
      }
      const double share = a.imag() / (a.imag() - b.imag());
      if (a.real() + share * (b.real() - a.real()) < least_lin) {
        continue;
      }
      const Crossing crossing = refine(grid.frequency_hz[bin], grid.frequency_hz[bin + 1], a, b);
      if (crossing.gain_db >= least_gain_db) {
        found.push_back(crossing);
      }
    }
    before = to;
    before_bin = bin + 1;
  }
  add_real_end(grid.frequency_hz.size() - 1);
  return found;
}

std::vector<Crossing> MatrixLoop::crossings(double least_gain_db) const {
  return crossings(make_grid(), least_gain_db);
}

std::optional<Pole> MatrixLoop::pole(const Crossing& crossing, double extra_gain_db) const {
  const double near_hz = crossing.frequency_hz;
  const double extra_neper = extra_gain_db / kDbPerNeper;
  Complex s{0.0, kTurn * near_hz};
  Complex value = base::db_to_amplitude(crossing.gain_db);
  for (int round = 0; round < 60; ++round) {
    const Values values = at(s);
    const Mode mode = mode_nearest(values.gain(), value);
    const Complex log_slope = (mode.left * values.slope() * mode.right).value() / mode.value;
    const Complex step = (std::log(mode.value) + extra_neper) / log_slope;
    // A step of more than some hertz would jump to another pole, so it is shortened.
    const double reach = std::min(1.0, 30.0 / std::abs(step));
    s -= reach * step;
    value = mode.value * std::exp(-reach * step * log_slope);  // where it is expected next
    if (!std::isfinite(s.real()) || std::abs(s.imag() / kTurn - near_hz) > 0.1 * near_hz + 20.0) {
      return std::nullopt;
    }
    if (std::abs(step) < 1e-9 * std::abs(s)) {
      return Pole{s.imag() / kTurn, kDbPerNeper * s.real()};
    }
  }
  return std::nullopt;
}

Shares MatrixLoop::shares(const Pole& pole, double extra_gain_db) const {
  const Values values = at({pole.growth_db_per_s / kDbPerNeper, kTurn * pole.frequency_hz});
  const Mode mode = mode_nearest(values.gain(), base::db_to_amplitude(-extra_gain_db));
  const Eigen::VectorXcd heard = values.bring * mode.right;
  Shares shares;
  for (std::size_t i = 0; i < paths_.size(); ++i) {
    double sum = 0.0;
    std::vector<double>& pairs = shares.pair.emplace_back();
    for (std::size_t j = 0; j < outputs_.size(); ++j) {
      const Complex part =
          mode.left[index(j)] * values.send(index(j), index(i)) * heard[index(i)] / mode.value;
      pairs.push_back(part.real());
      sum += part.real();
    }
    shares.microphone.push_back(sum);
  }
  return shares;
}

double MatrixLoop::max_stable_gain_db() const {
  const Grid grid = make_grid();
  double highest = 0.0;
  for (std::size_t bin = 0; bin < grid.frequency_hz.size(); ++bin) {
    highest = std::max(highest, grid.bound(bin));
  }
  // Downwards until something is found: what is found is then all that lies above.
  constexpr double kStepDb = 3.0;
  const double start_db = base::amplitude_to_db(highest);
  for (double least_db = start_db - kStepDb; least_db > start_db - 40.0; least_db -= kStepDb) {
    double most_db = -kUnlimitedGainDb;
    for (const Crossing& crossing : crossings(grid, least_db)) {
      most_db = std::max(most_db, crossing.gain_db);
    }
    if (most_db > -kUnlimitedGainDb) {
      return -most_db;
    }
  }
  return kUnlimitedGainDb;
}

}  // namespace brink::loop
