#include "loop/sweep/response_end.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace brink::loop {
namespace {

using Complex = std::complex<double>;

/// Octaves that add up to the whole: half a cosine over the logarithm of frequency on either side.
double octave_share(double frequency_hz, int octave, int octaves) noexcept {
  const double at = std::clamp(
      std::log2(std::max(frequency_hz, 1.0) / 62.5), 0.0, static_cast<double>(octaves - 1));
  const double away = std::abs(at - octave);
  return away >= 1.0 ? 0.0 : 0.5 * (1.0 + std::cos(std::numbers::pi * away));
}

/// Where, in blocks, a response sinks for good into noise of that power in a block.
std::size_t sinking_block(std::span<const double> response, double noise, std::size_t block) {
  // The response holds that noise too: twice the noise is a response as strong as it.
  std::size_t last = 0;
  double highest = 0.0;
  for (std::size_t b = 0; b < response.size() / block; ++b) {
    const double level = power_of(response.subspan(b * block, block));
    highest = std::max(highest, level);
    if (level > 2.0 * noise) {
      last = b;
    } else if (b > last + 3 && highest > 4.0 * noise) {
      break;
    }
  }
  return last + 1;
}

}  // namespace

NoisyResponse end_in_noise(Spectra& spectra,
                           std::span<const Complex> response,
                           std::span<const double> noise,
                           double sample_rate_hz) {
  const std::size_t taps = noise.size();
  NoisyResponse whole{std::vector<double>(taps), std::vector<double>(spectra.bins())};
  const std::vector<Complex> all_noise = spectra.forward(noise);
  // Only the later half says how loud the noise is: the earlier holds all that changed as well.
  const std::vector<Complex> late_noise = spectra.forward(noise.subspan(taps / 2));
  const auto half = static_cast<double>(taps - taps / 2);
  const int octaves =
      std::clamp(static_cast<int>(std::ceil(std::log2(0.5 * sample_rate_hz / 62.5))), 2, 10);
  std::vector<Complex> part(spectra.bins());
  std::vector<double> kept(spectra.bins());  // share of the time
  for (int octave = 0; octave < octaves; ++octave) {
    double late_power = 0.0;
    for (std::size_t k = 0; k < part.size(); ++k) {
      const double share = octave_share(spectra.frequency_hz(k), octave, octaves);
      part[k] = share * response[k];
      late_power += share * share * std::norm(late_noise[k]);
    }
    const double sample_power =
        late_power / (static_cast<double>(spectra.bins() - 1) * half);  // Parseval
    const std::vector<double>& sound = spectra.inverse(part);
    const double period_s = 1.0 / (62.5 * std::exp2(octave));
    const auto block = static_cast<std::size_t>(std::max(0.02, 4.0 * period_s) * sample_rate_hz);
    const std::size_t end =
        std::min(taps,
                 block * sinking_block(std::span(sound).first(taps),
                                       sample_power * static_cast<double>(block),
                                       block));
    for (std::size_t n = 0; n < std::min(taps, end + block); ++n) {
      const double late = n < end ? 0.0 : static_cast<double>(n - end) / static_cast<double>(block);
      whole.taps[n] += 0.5 * (1.0 + std::cos(std::numbers::pi * late)) * sound[n];
    }
    const double time_share = static_cast<double>(end) / static_cast<double>(taps);
    for (std::size_t k = 0; k < kept.size(); ++k) {
      kept[k] += octave_share(spectra.frequency_hz(k), octave, octaves) * time_share;
    }
  }
  for (std::size_t k = 0; k < kept.size(); ++k) {
    whole.noise_power[k] = kept[k] * std::norm(all_noise[k]);
  }
  return whole;
}

}  // namespace brink::loop
