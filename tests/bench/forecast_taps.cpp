#include "bench/forecast_taps.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <complex>
#include <cstddef>
#include <functional>
#include <span>

#include "base/double_fft.h"
#include "base/units.h"

namespace brink::bench {
namespace {

double rms(std::span<const float> samples) {
  double sum = 0.0;
  for (const float sample : samples) {
    sum += static_cast<double>(sample) * static_cast<double>(sample);
  }
  return std::sqrt(sum / static_cast<double>(samples.size()));
}

std::vector<float> filtered(std::span<const float> samples, std::span<const double> response) {
  base::DoubleFft fft(static_cast<int>(std::bit_ceil(samples.size() + response.size())));
  std::vector<double> padded(static_cast<std::size_t>(fft.size_samples()));
  std::vector<std::complex<double>> bins(static_cast<std::size_t>(fft.bin_count()));
  std::vector<std::complex<double>> response_bins(bins.size());
  std::copy(response.begin(), response.end(), padded.begin());
  fft.forward(padded, response_bins);
  std::fill(padded.begin(), padded.end(), 0.0);
  std::copy(samples.begin(), samples.end(), padded.begin());
  fft.forward(padded, bins);
  for (std::size_t k = 0; k < bins.size(); ++k) {
    bins[k] *= response_bins[k] / static_cast<double>(padded.size());
  }
  fft.inverse(bins, padded);
  return {padded.begin(), padded.begin() + static_cast<std::ptrdiff_t>(samples.size())};
}

}  // namespace

LoopTaps play(const LoopRoom& room,
              const loop::ProgrammeConfig& programme,
              const OtherProgramme* other,
              double gain_db,
              double length_s) {
  const auto count = static_cast<std::size_t>(length_s * kTapsRateHz);
  std::vector<float> samples(count);
  loop::Programme(programme).fill(samples);
  std::vector<float> others(count);
  if (other != nullptr) {
    loop::Programme(other->programme).fill(others);
    const double scale =
        rms(samples) * base::db_to_amplitude(gain_db + other->level_db) / rms(others);
    for (float& sample : others) {
      sample = static_cast<float>(scale * static_cast<double>(sample));
    }
    // What the loudspeaker makes of it comes to the microphone as the programme does.
    const auto heard = filtered(others, loop::loop_taps(room.scene.stage, 0.0));
    std::transform(samples.begin(), samples.end(), heard.begin(), samples.begin(), std::plus<>());
  }
  const auto tap = [&](loop::Tap place) {
    loop::StageConfig config = room.scene.stage;
    config.tap = place;
    config.plan.gain_db = loop::Lines(gain_db);
    loop::Stage stage(config);
    std::vector<float> out(count);
    stage.process(samples, out);
    return out;
  };
  LoopTaps taps{.microphone = tap(loop::Tap::kMicrophone), .feed = {}};
  if (other != nullptr) {
    taps.feed = tap(loop::Tap::kOutput);
    std::transform(
        taps.feed.begin(), taps.feed.end(), others.begin(), taps.feed.begin(), std::plus<>());
  }
  return taps;
}

}  // namespace brink::bench
