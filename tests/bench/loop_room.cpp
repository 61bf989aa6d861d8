#include "bench/loop_room.h"

#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numbers>
#include <random>
#include <stdexcept>

#include "core/fft.h"
#include "core/units.h"
#include "cuts/filters.h"

namespace brink::bench {
namespace {

constexpr double kRateHz = 48000.0;
constexpr double kDelayS = 0.010;

}  // namespace

LoopRoom close_loop(const std::string& name, const std::vector<float>& response) {
  // Twice the length: a step fine enough to follow the phase of the longest decay.
  const int size = core::fast_fft_size(std::max(96000, 2 * static_cast<int>(response.size())));
  core::Fft fft(size);
  std::vector<float> samples(static_cast<std::size_t>(size), 0.0F);
  std::copy(response.begin(), response.end(), samples.begin());
  std::vector<std::complex<float>> bins(static_cast<std::size_t>(fft.bin_count()));
  fft.forward(samples, bins);

  LoopRoom room{.name = name, .step_hz = kRateHz / size, .gain = {}};
  const double butterworth = std::numbers::sqrt2 / 2.0;
  const core::Biquad low = cuts::design_high_pass(90.0, butterworth, kRateHz);
  for (std::size_t k = 1; room.step_hz * static_cast<double>(k) <= 16000.0; ++k) {
    const double f_hz = room.step_hz * static_cast<double>(k);
    // Upper limit: second-order low-pass, analogue form.
    const double w = f_hz / 14000.0;
    const std::complex<double> high = 1.0 / std::complex<double>(1.0 - w * w, w / butterworth);
    room.gain.push_back(std::complex<double>(bins[k]) * core::response(low, f_hz, kRateHz) * high *
                        std::polar(1.0, -2.0 * std::numbers::pi * f_hz * kDelayS));
  }
  const double scale = core::db_to_amplitude(-cuts::highest_crossing(room.loop()).level_db);
  for (auto& value : room.gain) {
    value *= scale;
  }
  return room;
}

LoopRoom diffuse_room(std::uint64_t seed) {
  std::mt19937_64 engine(seed);
  const auto share = [&] { return static_cast<double>(engine() >> 11) * 0x1p-53; };
  const auto normal = [&] {
    double sum = -6.0;
    for (int i = 0; i < 12; ++i) {
      sum += share();
    }
    return sum;
  };
  const double t60_s = 0.3 * std::pow(2.0 / 0.3, share());
  std::vector<float> response(static_cast<std::size_t>(1.2 * t60_s * kRateHz));
  // The treble decays twice as fast: a one-pole low-pass that closes as time goes on.
  double low = 0.0;
  double power = 0.0;
  for (std::size_t n = 0; n < response.size(); ++n) {
    const double t = static_cast<double>(n) / kRateHz / t60_s;
    const double white = normal() * std::pow(10.0, -3.0 * t);
    const double share_of_low = std::exp(-2.0 * t);
    low += (white - low) * (0.15 + 0.85 * share_of_low);
    response[n] = static_cast<float>(low);
    power += low * low;
  }
  // Direct sound between 10 dB under and 2 dB over the diffuse one.
  response[0] +=
      static_cast<float>(std::sqrt(power) * core::db_to_amplitude(-10.0 + 12.0 * share()));
  return close_loop("diffuse " + std::to_string(seed), response);
}

std::vector<LoopRoom> measured_rooms(const std::string& folder) {
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const auto extension = entry.path().extension();
    if (extension == ".flac" || extension == ".wav" || extension == ".aiff") {
      paths.push_back(entry.path());
    }
  }
  std::sort(paths.begin(), paths.end());
  std::vector<LoopRoom> rooms;
  for (const auto& path : paths) {
    SF_INFO info{};
    SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
    if (file == nullptr || info.samplerate != static_cast<int>(kRateHz)) {
      throw std::runtime_error(path.string() + ": not a sound file at 48 kHz");
    }
    const auto channels = static_cast<std::size_t>(info.channels);
    std::vector<float> all(static_cast<std::size_t>(info.frames) * channels);
    sf_readf_float(file, all.data(), info.frames);
    sf_close(file);
    std::vector<float> first;
    for (std::size_t n = 0; n < all.size(); n += channels) {
      first.push_back(all[n]);
    }
    rooms.push_back(close_loop(path.stem().string(), first));
  }
  return rooms;
}

}  // namespace brink::bench
