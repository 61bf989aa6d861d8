#include "loop/sweep/sweep.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "base/double_fft.h"
#include "base/error.h"
#include "loop/require.h"

namespace brink::loop {
namespace {

constexpr double kFadeInOctaves = 1.0 / 3.0;
constexpr double kFadeOutOctaves = 1.0 / 24.0;
/// Of the sweep's power at a frequency: what the quotient of spectra is let down by. 0.005 dB where
/// the sweep is whole.
constexpr double kSoftening = 1e-3;

SweepConfig checked(SweepConfig config) {
  require(config.sample_rate_hz, 8000.0, 192000.0, "sample rate", "Hz");
  config.high_hz = std::min(config.high_hz, 0.45 * config.sample_rate_hz);
  require(config.high_hz, 20.0, 90000.0, "highest frequency of the sweep", "Hz");
  require(config.low_hz, 10.0, 0.5 * config.high_hz, "lowest frequency of the sweep", "Hz");
  require(config.length_s, 0.1, 60.0, "length of the sweep", "s");
  return config;
}

double octaves(const SweepConfig& config) noexcept {
  return std::log2(config.high_hz / config.low_hz);
}

/// From 0 to 1 and back in half a cosine each, `octave` counted from the lowest frequency.
double fade(double octave, double all_octaves) noexcept {
  const double rise = std::min(1.0, octave / kFadeInOctaves);
  const double fall = std::min(1.0, (all_octaves - octave) / kFadeOutOctaves);
  return 0.25 * (1.0 - std::cos(std::numbers::pi * rise)) *
         (1.0 - std::cos(std::numbers::pi * fall));
}

int transform_size(std::size_t samples) {
  int size = 4096;
  while (static_cast<std::size_t>(size) < samples) {
    // 1, 1.25, 1.5 and 2 times a power of two: the transform takes factors of 3 and 5.
    for (const int part : {5 * size / 4, 3 * size / 2}) {
      if (static_cast<std::size_t>(part) >= samples) {
        return part;
      }
    }
    size *= 2;
  }
  return size;
}

}  // namespace

std::vector<double> exponential_sweep(const SweepConfig& wanted, double clock_ratio) {
  const SweepConfig config = checked(wanted);
  const double all_octaves = octaves(config);
  const double octaves_per_s = all_octaves / config.length_s;
  const double radians =
      2.0 * std::numbers::pi * config.low_hz / (octaves_per_s * std::numbers::ln2);
  const double step_s = 1.0 / (config.sample_rate_hz * clock_ratio);
  std::vector<double> samples(static_cast<std::size_t>(std::floor(config.length_s / step_s)));
  for (std::size_t n = 0; n < samples.size(); ++n) {
    const double octave = static_cast<double>(n) * step_s * octaves_per_s;
    samples[n] = fade(octave, all_octaves) * std::sin(radians * (std::exp2(octave) - 1.0));
  }
  return samples;
}

std::vector<float> sweep_signal(const SweepSignal& signal) {
  require(signal.lead_s, 0.4, 10.0, "silence before the sweep", "s");
  require(signal.decay_s, 0.1, 20.0, "time for the room's decay", "s");
  require(signal.count, 1, 2, "number of sweeps");
  const std::vector<double> sweep = exponential_sweep(signal.sweep);
  const double rate_hz = signal.sweep.sample_rate_hz;
  std::vector<float> samples(static_cast<std::size_t>(std::llround(signal.length_s() * rate_hz)));
  for (int k = 0; k < signal.count; ++k) {
    const double start_s = signal.lead_s + k * (signal.sweep.length_s + signal.decay_s);
    std::transform(sweep.begin(),
                   sweep.end(),
                   samples.begin() + std::llround(start_s * rate_hz),
                   [](double sample) { return static_cast<float>(sample); });
  }
  return samples;
}

struct Deconvolver::State {
  base::DoubleFft fft;
  std::size_t most_samples;
  std::vector<std::complex<double>> inverse;  // of the sweep
};

Deconvolver::Deconvolver(const SweepConfig& wanted, std::size_t most_samples, double clock_ratio) {
  const SweepConfig config = checked(wanted);
  const std::vector<double> sweep = exponential_sweep(config, clock_ratio);
  state_ = std::make_unique<State>(
      State{base::DoubleFft{transform_size(most_samples + sweep.size())}, most_samples, {}});
  base::DoubleFft& fft = state_->fft;
  std::vector<double> samples(static_cast<std::size_t>(fft.size_samples()));
  std::copy(sweep.begin(), sweep.end(), samples.begin());
  std::vector<std::complex<double>>& played = state_->inverse;
  played.resize(static_cast<std::size_t>(fft.bin_count()));
  fft.forward(samples, played);
  // The sweep's power at f by the time it spends there: falling by 3 dB an octave.
  const double rate_hz = config.sample_rate_hz;
  const double power_hz =
      rate_hz * rate_hz * config.length_s / (4.0 * std::numbers::ln2 * octaves(config));
  const double bin_hz = rate_hz / fft.size_samples();
  for (std::size_t k = 0; k < played.size(); ++k) {
    const double frequency_hz =
        std::clamp(static_cast<double>(k) * bin_hz, config.low_hz, config.high_hz);
    played[k] =
        std::conj(played[k]) /
        ((std::norm(played[k]) + kSoftening * power_hz / frequency_hz) * fft.size_samples());
  }
}

Deconvolver::~Deconvolver() = default;
Deconvolver::Deconvolver(Deconvolver&&) noexcept = default;
Deconvolver& Deconvolver::operator=(Deconvolver&&) noexcept = default;

std::vector<double> Deconvolver::run(std::span<const float> recording) {
  if (recording.empty() || recording.size() > state_->most_samples) {
    throw base::Error{"there is no recording of the sweep, or too long a one."};
  }
  base::DoubleFft& fft = state_->fft;
  std::vector<double> samples(static_cast<std::size_t>(fft.size_samples()));
  std::transform(recording.begin(), recording.end(), samples.begin(), [](float sample) {
    return std::isfinite(sample) ? static_cast<double>(sample) : 0.0;
  });
  std::vector<std::complex<double>> heard(state_->inverse.size());
  fft.forward(samples, heard);
  for (std::size_t k = 0; k < heard.size(); ++k) {
    heard[k] *= state_->inverse[k];
  }
  fft.inverse(heard, samples);
  return samples;
}

double distortion_lead_s(const SweepConfig& wanted, int order) noexcept {
  const double high_hz = std::min(wanted.high_hz, 0.45 * wanted.sample_rate_hz);
  return wanted.length_s * std::log2(order) / std::log2(high_hz / wanted.low_hz);
}

}  // namespace brink::loop
