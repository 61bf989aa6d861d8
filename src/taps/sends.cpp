#include "taps/sends.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/double_fft.h"

namespace brink::taps {
namespace {

using Complex = std::complex<double>;

constexpr double kWindowS = 0.085;
constexpr double kBandRatio = 0.15;  // to both sides: an equaliser changes little over it
constexpr int kLeastBins = 8;        // to both sides
// Of the mean power of a channel: keeps a channel that is nearly silent from getting wild factors.
constexpr double kSteadying = 1e-6;

int window_samples(double sample_rate_hz) {
  int size = 256;
  while (size < kWindowS * sample_rate_hz) {
    size *= 2;
  }
  return size;
}

std::vector<std::size_t> taps_of(std::span<const TapInfo> info, TapRole role) {
  std::vector<std::size_t> taps;
  for (std::size_t tap = 0; tap < info.size(); ++tap) {
    if (info[tap].role == role) {
      taps.push_back(tap);
    }
  }
  return taps;
}

using Spectra = std::vector<std::vector<Complex>>;  // of each tap

/// Of every tap over one Hann window that begins at sample `from`.
void transform(const TapHistory& history,
               std::int64_t from,
               base::DoubleFft& fft,
               Spectra& spectra) {
  const int size = fft.size_samples();
  std::vector<double> samples(static_cast<std::size_t>(size));
  for (std::size_t tap = 0; tap < history.tap_count(); ++tap) {
    for (int n = 0; n < size; ++n) {
      const double window = 0.5 - 0.5 * std::cos(2.0 * std::numbers::pi * n / size);
      samples[static_cast<std::size_t>(n)] =
          window * static_cast<double>(history.sample(tap, from + n));
    }
    fft.forward(samples, spectra[tap]);
  }
}

/// What `taps` have in one bin.
Eigen::VectorXcd in_bin(const Spectra& spectra, std::span<const std::size_t> taps, int bin) {
  Eigen::VectorXcd values(static_cast<Eigen::Index>(taps.size()));
  for (std::size_t i = 0; i < taps.size(); ++i) {
    values[static_cast<Eigen::Index>(i)] = spectra[taps[i]][static_cast<std::size_t>(bin)];
  }
  return values;
}

}  // namespace

Sends find_sends(const TapHistory& history,
                 std::span<const TapInfo> taps,
                 double frequency_hz,
                 std::int64_t end,
                 double seconds) {
  const std::vector<std::size_t> microphones = taps_of(taps, TapRole::kMicrophone);
  const std::vector<std::size_t> outputs = taps_of(taps, TapRole::kOutput);
  const auto m = static_cast<Eigen::Index>(microphones.size());
  const auto o = static_cast<Eigen::Index>(outputs.size());
  const int size = window_samples(history.sample_rate_hz());
  base::DoubleFft fft{size};
  const double bin_hz = history.sample_rate_hz() / size;
  const int reach = std::max(kLeastBins, static_cast<int>(kBandRatio * frequency_hz / bin_hz));
  const int centre = static_cast<int>(std::lround(frequency_hz / bin_hz));
  const int first = std::max(1, centre - reach);
  const int last = std::min(fft.bin_count() - 2, centre + reach);

  Eigen::MatrixXcd own = Eigen::MatrixXcd::Zero(m, m);
  Eigen::MatrixXcd cross = Eigen::MatrixXcd::Zero(m, o);
  Spectra spectra(history.tap_count(),
                  std::vector<Complex>(static_cast<std::size_t>(fft.bin_count())));
  const auto span = static_cast<std::int64_t>(seconds * history.sample_rate_hz());
  for (std::int64_t from = end - span; from + size <= end; from += size / 2) {
    transform(history, from, fft, spectra);
    for (int bin = first; bin <= last; ++bin) {
      const Eigen::VectorXcd x = in_bin(spectra, microphones, bin);
      const Eigen::VectorXcd u = in_bin(spectra, outputs, bin);
      const double power = x.squaredNorm();
      if (power > 0.0) {
        own += x.conjugate() * x.transpose() / power;
        cross += x.conjugate() * u.transpose() / power;
      }
    }
  }
  const double mean = own.trace().real() / static_cast<double>(std::max<Eigen::Index>(1, m));
  own.diagonal().array() += kSteadying * mean + 1e-300;
  const Eigen::MatrixXcd gain = own.ldlt().solve(cross);
  Sends sends;
  for (Eigen::Index j = 0; j < o; ++j) {
    std::vector<Complex>& row = sends.gain.emplace_back();
    for (Eigen::Index i = 0; i < m; ++i) {
      row.push_back(gain(i, j));
    }
  }
  return sends;
}

}  // namespace brink::taps
