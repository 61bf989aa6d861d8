#include "loop/sweep/measured_loop.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstdint>

#include "base/error.h"
#include "base/units.h"
#include "loop/sweep/response_end.h"
#include "loop/sweep/spectra.h"

namespace brink::loop {
namespace {

using Complex = std::complex<double>;

constexpr double kFirstSoundShare = 0.2;  // of the highest peak

/// A deconvolved recording: a circle of which any stretch can be taken.
class Circle {
 public:
  explicit Circle(std::vector<double> samples) : samples_(std::move(samples)) {}

  [[nodiscard]] std::vector<double> slice(std::int64_t from, std::size_t count) const {
    const auto size = static_cast<std::int64_t>(samples_.size());
    std::vector<double> taken(count);
    for (std::size_t n = 0; n < count; ++n) {
      const std::int64_t at = (from + static_cast<std::int64_t>(n)) % size;
      taken[n] = samples_[static_cast<std::size_t>(at < 0 ? at + size : at)];
    }
    return taken;
  }

  [[nodiscard]] double power(double from, double count) const {
    return power_of(slice(std::llround(from), static_cast<std::size_t>(std::llround(count))));
  }

 private:
  std::vector<double> samples_;
};

std::size_t first_sound(std::span<const double> response) noexcept {
  double peak = 0.0;
  for (const double sample : response) {
    peak = std::max(peak, std::abs(sample));
  }
  std::size_t n = 0;
  while (n < response.size() && std::abs(response[n]) < kFirstSoundShare * peak) {
    ++n;
  }
  return n;
}

/// How much more two responses differ than the noise at their end tells, over what they share.
double change_db(std::span<const double> mean, std::span<const double> half_difference) {
  // Between the first sound and what follows within 0.1 s nearly all of the power lies; the noise
  // is what the second half differs by.
  const std::size_t half = mean.size() / 2;
  const double noise = power_of(half_difference.subspan(half));
  const double changed = power_of(half_difference.first(half)) - 1.2 * noise;
  const double power = power_of(mean);
  return power > 0.0 ? base::power_to_db(std::max(changed, 0.0) / power) : base::kSilenceDb;
}

/// By how much the highest tone in the later part of a response stands over the mean around it.
double late_peak_db(Spectra& spectra, std::span<const double> taps, double sample_rate_hz) {
  // The later part: from where a quarter of the energy's logarithmic decay is over.
  std::vector<double> late(taps.begin(), taps.end());
  double left = power_of(late);
  const double goal = 0.01 * left;
  std::size_t from = 0;
  while (from < late.size() && left > goal) {
    left -= late[from] * late[from];
    late[from++] = 0.0;
  }
  const std::vector<Complex> spectrum = spectra.forward(late);
  double highest_db = 0.0;
  const auto half_width = static_cast<std::size_t>(
      std::max(8.0, 100.0 / (sample_rate_hz / static_cast<double>(2 * spectrum.size()))));
  std::vector<double> sums(spectrum.size() + 1);
  for (std::size_t k = 0; k < spectrum.size(); ++k) {
    sums[k + 1] = sums[k] + std::norm(spectrum[k]);
  }
  const std::size_t first = std::max(half_width, spectra.bin(100.0));
  const std::size_t last = std::min(spectrum.size() - half_width - 1, spectra.bin(12000.0));
  for (std::size_t k = first; k < last; ++k) {
    const double around =
        (sums[k + half_width + 1] - sums[k - half_width]) / static_cast<double>(2 * half_width + 1);
    if (around > 0.0) {
      highest_db = std::max(highest_db, base::power_to_db(std::norm(spectrum[k]) / around));
    }
  }
  return highest_db;
}

void look_at_recording(std::span<const float> recording,
                       const SweepSignal& signal,
                       std::int64_t sweep_start,
                       MeasuredLoop& loop) {
  constexpr float kFullScale = 0.999F;
  const double rate_hz = signal.sweep.sample_rate_hz;
  const auto root_mean_square = [&](std::int64_t from, std::int64_t to) {
    const auto size = static_cast<std::int64_t>(recording.size());
    from = std::clamp<std::int64_t>(from, 0, size);
    to = std::clamp<std::int64_t>(to, from, size);
    double sum = 0.0;
    for (std::int64_t n = from; n < to; ++n) {
      const auto sample = static_cast<double>(recording[static_cast<std::size_t>(n)]);
      sum += std::isfinite(sample) ? sample * sample : 0.0;
    }
    return to > from ? std::sqrt(sum / static_cast<double>(to - from)) : 0.0;
  };
  const auto lead = static_cast<std::int64_t>(0.8 * signal.lead_s * rate_hz);
  loop.noise_dbfs = base::amplitude_to_db(root_mean_square(sweep_start - lead, sweep_start));
  loop.sound_dbfs = base::amplitude_to_db(root_mean_square(
      sweep_start, sweep_start + static_cast<std::int64_t>(signal.sweep.length_s * rate_hz)));
  float peak = 0.0F;
  for (const float sample : recording) {
    peak = std::isfinite(sample) ? std::max(peak, std::abs(sample)) : peak;
    loop.clipped_samples += std::abs(sample) >= kFullScale ? 1U : 0U;
  }
  loop.peak_dbfs = base::amplitude_to_db(static_cast<double>(peak));
}

double distortion(const Circle& circle, const SweepSignal& signal, double start, double direct) {
  const double rate_hz = signal.sweep.sample_rate_hz;
  const double width = 0.05 * rate_hz;
  const double at = start + direct - 0.2 * width;
  double harmonics = 0.0;
  for (int order = 2; order <= 3; ++order) {
    harmonics += circle.power(at - distortion_lead_s(signal.sweep, order) * rate_hz, width);
  }
  // As much noise as the two hold lies half way between them.
  const double between =
      0.5 * (distortion_lead_s(signal.sweep, 2) + distortion_lead_s(signal.sweep, 3));
  harmonics -= 2.0 * circle.power(at - between * rate_hz, width);
  const double whole = circle.power(at, width);
  return whole > 0.0 ? std::sqrt(std::max(0.0, harmonics) / whole) : 0.0;
}

void require_sound(std::span<const double> response) {
  // A response is a burst; noise is the same everywhere.
  double peak = 0.0;
  for (const double sample : response) {
    peak = std::max(peak, std::abs(sample));
  }
  const double mean = std::sqrt(power_of(response) / static_cast<double>(response.size()));
  if (!(peak > 8.0 * mean)) {
    throw base::Error{
        "the sweep is not to be heard in what was recorded; check the output and the tap, or ask "
        "for more level."};
  }
}

/// Where the first sound of the first sweep is, when nothing is known of the devices' delay.
std::int64_t find_first(const Circle& circle, const SweepSignal& signal, std::size_t recorded) {
  const double rate_hz = signal.sweep.sample_rate_hz;
  const std::vector<double> all = circle.slice(0, recorded);
  require_sound(all);
  const auto highest = [&](std::size_t from, std::size_t to) {
    std::size_t best = from;
    for (std::size_t n = from; n < to; ++n) {
      best = std::abs(all[n]) > std::abs(all[best]) ? n : best;
    }
    return best;
  };
  std::size_t peak = highest(0, all.size());
  const auto period = static_cast<std::size_t>((signal.sweep.length_s + signal.decay_s) * rate_hz);
  const auto around = static_cast<std::size_t>(0.02 * rate_hz);
  if (signal.count == 2 && peak > period + around) {
    const std::size_t before = highest(peak - period - around, peak - period + around);
    peak = std::abs(all[before]) > 0.5 * std::abs(all[peak]) ? before : peak;
  }
  // From the highest peak back to the first sound.
  const std::size_t from = peak - std::min(peak, static_cast<std::size_t>(0.1 * rate_hz));
  return static_cast<std::int64_t>(from +
                                   first_sound(std::span(all).subspan(from, peak - from + 1)));
}

}  // namespace

double first_sound_s(std::span<const double> taps, double sample_rate_hz) noexcept {
  return static_cast<double>(first_sound(taps)) / sample_rate_hz;
}

double find_latency_s(std::span<const float> recording, const SweepSignal& signal) {
  const Circle circle(Deconvolver(signal.sweep, recording.size()).run(recording));
  const std::int64_t first = find_first(circle, signal, recording.size());
  // Between the samples: the centre of the highest three, by a parabola.
  const std::vector<double> near = circle.slice(first - 8, 24);
  std::size_t best = 1;
  for (std::size_t n = 1; n + 1 < near.size(); ++n) {
    best = std::abs(near[n]) > std::abs(near[best]) ? n : best;
  }
  const double a = std::abs(near[best - 1]);
  const double b = std::abs(near[best]);
  const double c = std::abs(near[best + 1]);
  const double part = 2.0 * b > a + c ? 0.5 * (c - a) / (2.0 * b - a - c) : 0.0;
  return (static_cast<double>(first - 8) + static_cast<double>(best) + part) /
             signal.sweep.sample_rate_hz -
         signal.lead_s;
}

MeasuredLoop measure_loop(std::span<const float> recording,
                          const SweepSignal& signal,
                          std::optional<double> latency_s) {
  Deconvolver prepared(signal.sweep, recording.size());
  return measure_loop(recording, signal, latency_s, prepared);
}

MeasuredLoop measure_loop(std::span<const float> recording,
                          const SweepSignal& signal,
                          std::optional<double> latency_s,
                          Deconvolver& prepared) {
  const double rate_hz = signal.sweep.sample_rate_hz;
  const double period = (signal.sweep.length_s + signal.decay_s) * rate_hz;
  const auto taps = static_cast<std::size_t>(signal.decay_s * rate_hz);
  if (static_cast<double>(recording.size()) < (signal.length_s() - 0.1) * rate_hz) {
    throw base::Error{"the recording ends before the sweep does."};
  }
  MeasuredLoop loop;
  loop.sample_rate_hz = rate_hz;
  Circle circle(prepared.run(recording));
  double start = 0.0;
  if (latency_s) {
    start = (signal.lead_s + *latency_s - kEarlyS) * rate_hz;
    loop.starts_s = (std::floor(start) - start) / rate_hz - kEarlyS;
  } else {
    start = static_cast<double>(find_first(circle, signal, recording.size())) - kEarlyS * rate_hz;
  }
  const auto whole_start = static_cast<std::int64_t>(std::floor(start));
  Spectra spectra(taps, rate_hz);
  std::vector<double> first = circle.slice(whole_start, taps);
  require_sound(first);
  std::vector<Complex> mean = spectra.forward(first);
  std::vector<Complex> half_difference(mean.size());
  if (signal.count == 2) {
    const double most = kMostClockPpm * 1e-6 * period;
    const auto second_of = [&](const Circle& of, double from) {
      std::vector<Complex> second = spectra.forward(of.slice(std::llround(from), taps));
      turn_back(second, from - std::round(from));  // to the part of a sample
      return second;
    };
    double from = static_cast<double>(whole_start) + period;
    std::vector<Complex> second = second_of(circle, from);
    const double lag = lag_samples(spectra, mean, second, 4.0 * most);
    loop.has_lost_samples = std::abs(lag) > most;
    loop.clock_ppm = 1e6 * lag / period;
    constexpr double kNoticeable = 0.05;  // samples
    if (!loop.has_lost_samples && std::abs(lag) > kNoticeable) {
      circle =
          Circle(Deconvolver(signal.sweep, recording.size(), 1.0 + lag / period).run(recording));
      first = circle.slice(whole_start, taps);
      mean = spectra.forward(first);
      second = second_of(circle, from + lag);
    }
    for (std::size_t k = 0; k < mean.size(); ++k) {
      half_difference[k] = 0.5 * (mean[k] - second[k]);
      mean[k] -= half_difference[k];
    }
  }
  std::vector<double> noise = spectra.inverse(half_difference);
  noise.resize(taps);
  std::vector<double> whole = spectra.inverse(mean);
  whole.resize(taps);
  loop.change_db = change_db(whole, noise);
  NoisyResponse response{whole, std::vector<double>(spectra.bins())};
  if (signal.count == 2) {
    response = end_in_noise(spectra, mean, noise, rate_hz);
  }
  loop.direct_s = static_cast<double>(first_sound(response.taps)) / rate_hz;
  loop.bands = measured_bands(spectra, response, signal.sweep);
  loop.late_peak_db = late_peak_db(spectra, response.taps, rate_hz);
  loop.taps = std::move(response.taps);
  look_at_recording(recording, signal, whole_start, loop);
  loop.distortion_lin =
      distortion(circle,
                 signal,
                 static_cast<double>(whole_start) + (signal.count == 2 ? period : 0.0),
                 loop.direct_s * rate_hz);
  return loop;
}

bool is_closed_loop(const MeasuredLoop& loop) noexcept {
  constexpr double kMostOfARoomDb = 13.0;  // 42 rooms: up to 11
  return loop.late_peak_db > kMostOfARoomDb;
}

}  // namespace brink::loop
