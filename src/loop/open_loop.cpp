#include "loop/open_loop.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/double_fft.h"
#include "base/error.h"
#include "base/units.h"

namespace brink::loop {

namespace {

using Complex = std::complex<double>;

constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr double kDbPerNeper = 20.0 / std::numbers::ln10;

constexpr std::size_t kRun = 64;  // taps that are summed with one table of powers
constexpr std::size_t kLanes =
    4;  // independent sums, so that one addition need not wait for the other

// q^0 .. q^(kRun - 1), and their exponents.
struct Powers {
  explicit Powers(Complex q) noexcept {
    Complex power = 1.0;
    for (std::size_t n = 0; n < kRun; ++n) {
      real[n] = power.real();
      imag[n] = power.imag();
      index[n] = static_cast<double>(n);
      power *= q;
    }
    whole_run = power;
  }

  std::array<double, kRun> real{};
  std::array<double, kRun> imag{};
  std::array<double, kRun> index{};
  Complex whole_run;
};

// Sum of tap[n] q^n and of n tap[n] q^n over one run.
struct RunSums {
  Complex plain;
  Complex by_index;
};

RunSums sum_run(const double* taps, std::size_t count, const Powers& powers) noexcept {
  std::array<double, kRun> full{};
  std::copy_n(taps, count, full.begin());
  std::array<double, kLanes> real{};
  std::array<double, kLanes> imag{};
  std::array<double, kLanes> index_real{};
  std::array<double, kLanes> index_imag{};
  for (std::size_t n = 0; n < kRun; n += kLanes) {
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      const double a = full[n + lane] * powers.real[n + lane];
      const double b = full[n + lane] * powers.imag[n + lane];
      real[lane] += a;
      imag[lane] += b;
      index_real[lane] += powers.index[n + lane] * a;
      index_imag[lane] += powers.index[n + lane] * b;
    }
  }
  RunSums sums;
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    sums.plain += Complex{real[lane], imag[lane]};
    sums.by_index += Complex{index_real[lane], index_imag[lane]};
  }
  return sums;
}

int grid_size(std::size_t tap_count) {
  int size = 4096;
  while (size < static_cast<int>(8 * tap_count)) {
    size *= 2;
  }
  return size;
}

}  // namespace

OpenLoop::OpenLoop(std::vector<double> taps,
                   std::vector<base::Biquad> sections,
                   double sample_rate_hz)
    : taps_{std::move(taps)}, sections_{std::move(sections)}, sample_rate_hz_{sample_rate_hz} {
  if (taps_.empty() || !(sample_rate_hz > 0.0)) {
    throw base::Error{"a loop needs an impulse response and a sample rate above 0 Hz."};
  }
}

OpenLoop::Value OpenLoop::at(Complex s) const noexcept {
  const double sample_s = 1.0 / sample_rate_hz_;
  const Complex step = std::exp(-s * sample_s);  // z^-1
  const Powers powers{step};
  Complex gain;
  Complex by_index;  // sum of n tap[n] z^-n, which is minus dL/ds divided by the sample's length
  for (std::size_t run = (taps_.size() + kRun - 1) / kRun; run-- > 0;) {
    const std::size_t start = run * kRun;
    const RunSums sums =
        sum_run(taps_.data() + start, std::min(kRun, taps_.size() - start), powers);
    gain = gain * powers.whole_run + sums.plain;
    by_index =
        by_index * powers.whole_run + sums.by_index + static_cast<double>(start) * sums.plain;
  }
  Complex log_slope = by_index / (gain * step);  // relative to z^-1 for now
  for (const base::Biquad& section : sections_) {
    const Complex above = section.b0 + step * (section.b1 + step * section.b2);
    const Complex below = 1.0 + step * (section.a1 + step * section.a2);
    gain *= above / below;
    log_slope += (section.b1 + 2.0 * step * section.b2) / above -
                 (section.a1 + 2.0 * step * section.a2) / below;
  }
  return {gain, -sample_s * step * log_slope};
}

OpenLoop::Value OpenLoop::at_hz(double frequency_hz) const noexcept {
  return at({0.0, kTurn * frequency_hz});
}

double OpenLoop::group_delay_s(double frequency_hz) const noexcept {
  return -at_hz(frequency_hz).log_slope.real();
}

LoopResponse OpenLoop::response() const {
  base::DoubleFft fft{grid_size(taps_.size())};
  std::vector<double> padded(static_cast<std::size_t>(fft.size_samples()));
  std::copy(taps_.begin(), taps_.end(), padded.begin());
  LoopResponse grid;
  grid.gain.resize(static_cast<std::size_t>(fft.bin_count()));
  fft.forward(padded, grid.gain);
  const double bin_hz = sample_rate_hz_ / fft.size_samples();
  grid.frequency_hz.reserve(grid.gain.size());
  for (std::size_t k = 0; k < grid.gain.size(); ++k) {
    grid.frequency_hz.push_back(static_cast<double>(k) * bin_hz);
    for (const base::Biquad& section : sections_) {
      grid.gain[k] *= base::response(section, grid.frequency_hz[k], sample_rate_hz_);
    }
  }
  return grid;
}

Crossing OpenLoop::refine(double low_hz, double high_hz) const noexcept {
  // Newton's method on the phase. It halves the bracket when a step would leave it.
  double frequency_hz = 0.5 * (low_hz + high_hz);
  const bool rises = std::arg(at_hz(low_hz).gain) < std::arg(at_hz(high_hz).gain);
  Value value = at_hz(frequency_hz);
  for (int round = 0; round < 40; ++round) {
    const double phase = std::arg(value.gain);
    if (std::abs(phase) < 1e-11) {
      break;
    }
    ((phase < 0.0) == rises ? low_hz : high_hz) = frequency_hz;
    double next_hz = frequency_hz - phase / (kTurn * value.log_slope.real());
    if (!(next_hz > low_hz && next_hz < high_hz)) {
      next_hz = 0.5 * (low_hz + high_hz);
    }
    if (std::abs(next_hz - frequency_hz) < 1e-10 * frequency_hz) {
      break;
    }
    frequency_hz = next_hz;
    value = at_hz(frequency_hz);
  }
  return {frequency_hz, base::amplitude_to_db(std::abs(value.gain))};
}

std::vector<Crossing> OpenLoop::crossings(const LoopResponse& grid, double least_gain_db) const {
  std::vector<Crossing> found;
  const auto add_real_end = [&](double frequency_hz) {
    const double gain_lin = at_hz(frequency_hz).gain.real();
    if (gain_lin > 0.0 && base::amplitude_to_db(gain_lin) >= least_gain_db) {
      found.push_back({frequency_hz, base::amplitude_to_db(gain_lin)});
    }
  };
  add_real_end(0.0);
  // With room, since the chord lies lower than the curve.
  const double least_lin = base::db_to_amplitude(least_gain_db - 0.5);
  for (std::size_t k = 1; k + 2 < grid.gain.size(); ++k) {
    const Complex a = grid.gain[k];
    const Complex b = grid.gain[k + 1];
    if ((a.imag() < 0.0) == (b.imag() < 0.0)) {
      continue;
    }
    const double share = a.imag() / (a.imag() - b.imag());
    if (a.real() + share * (b.real() - a.real()) < least_lin) {
      continue;
    }
    const Crossing crossing = refine(grid.frequency_hz[k], grid.frequency_hz[k + 1]);
    if (crossing.gain_db >= least_gain_db) {
      found.push_back(crossing);
    }
  }
  add_real_end(sample_rate_hz_ / 2.0);
  return found;
}

std::optional<Pole> OpenLoop::pole(double near_hz, double extra_gain_db) const noexcept {
  const double extra_neper = extra_gain_db / kDbPerNeper;
  Complex s{0.0, kTurn * near_hz};
  for (int round = 0; round < 60; ++round) {
    const Value value = at(s);
    const Complex step = (std::log(value.gain) + extra_neper) / value.log_slope;
    // A step of more than some hertz would jump to another pole, so it is shortened.
    const double reach = std::min(1.0, 30.0 / std::abs(step));
    s -= reach * step;
    if (!std::isfinite(s.real()) || std::abs(s.imag() / kTurn - near_hz) > 0.1 * near_hz + 20.0) {
      return std::nullopt;
    }
    if (std::abs(step) < 1e-9 * std::abs(s)) {
      return Pole{s.imag() / kTurn, kDbPerNeper * s.real()};
    }
  }
  return std::nullopt;
}

double max_stable_gain_db(const OpenLoop& loop) {
  const LoopResponse grid = loop.response();
  const double ends = std::max({0.0, grid.gain.front().real(), grid.gain.back().real()});
  double highest_db = base::amplitude_to_db(ends);
  // First the highest value on the grid. Then only crossings near this value are computed exactly.
  for (std::size_t k = 1; k + 2 < grid.gain.size(); ++k) {
    const Complex a = grid.gain[k];
    const Complex b = grid.gain[k + 1];
    if ((a.imag() < 0.0) != (b.imag() < 0.0)) {
      const double share = a.imag() / (a.imag() - b.imag());
      const double chord = std::max(0.0, a.real() + share * (b.real() - a.real()));
      highest_db = std::max(highest_db, base::amplitude_to_db(chord));
    }
  }
  double exact_db = -kUnlimitedGainDb;
  for (const Crossing& crossing : loop.crossings(grid, highest_db - 0.2)) {
    exact_db = std::max(exact_db, crossing.gain_db);
  }
  return -exact_db;
}

}  // namespace brink::loop
