#include "detector/scales.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "base/vector_fft.h"

namespace brink::detector {

namespace {

constexpr double kHopS = 0.016;  // 768 samples at 48 kHz

/// What one scale is for.
struct ScalePlan {
  double window_s;
  double lowest_hz, highest_hz;         ///< where peaks are followed
  double speaks_from_hz, speaks_to_hz;  ///< where this scale stands for the spectrum
};

// The middle one ends where a quarter of 44.1 kHz still holds it (Decimator::kMostFlatTo).
constexpr std::array<ScalePlan, 3> kScalePlans{{
    {0.3413, 40.0, 1200.0, 0.0, 700.0},          // 2.9 Hz bins
    {0.1707, 150.0, 4800.0, 700.0, 3500.0},      // 5.9 Hz bins
    {0.0853, 2000.0, 20000.0, 3500.0, 96000.0},  // 11.7 Hz bins
}};

/// How often the rate can be halved and still pass `highest_hz`.
int halvings_for(double sample_rate_hz, double highest_hz) {
  int halvings = 0;
  while (Decimator::kMostFlatTo * std::ldexp(sample_rate_hz, -halvings - 1) >= highest_hz) {
    ++halvings;
  }
  return halvings;
}

/// Of all bands.
int most_halvings_for(double sample_rate_hz) {
  int most = halvings_for(sample_rate_hz, LongWindow::kHighestHz);
  for (const ScalePlan& plan : kScalePlans) {
    most = std::max(most, halvings_for(sample_rate_hz, plan.highest_hz));
  }
  return most;
}

/// kHopS, rounded so that it is whole at every rate.
int hop_samples_for(double sample_rate_hz) {
  const int halvings = most_halvings_for(sample_rate_hz);
  return static_cast<int>(std::lround(std::ldexp(kHopS * sample_rate_hz, -halvings))) << halvings;
}

/// One decimator after the other. Each is as long as the bands behind it ask for.
std::vector<Decimator> make_decimators(double sample_rate_hz, int hop_samples) {
  std::vector<Decimator> decimators;
  for (int i = 1; i <= most_halvings_for(sample_rate_hz); ++i) {
    double highest_hz = 0.0;
    const auto serve = [&](double band_hz) {
      if (halvings_for(sample_rate_hz, band_hz) >= i) {
        highest_hz = std::max(highest_hz, band_hz);
      }
    };
    serve(LongWindow::kHighestHz);
    for (const ScalePlan& plan : kScalePlans) {
      serve(plan.highest_hz);
    }
    decimators.emplace_back(hop_samples >> (i - 1), std::ldexp(highest_hz, i) / sample_rate_hz);
  }
  return decimators;
}

}  // namespace

std::size_t Scale::first_bin() const noexcept {
  return static_cast<std::size_t>(
      std::ceil(static_cast<double>(lowest_hz) / spectrum.bin_width_hz()));
}

std::size_t Scale::end_bin() const noexcept {
  const double past = std::ceil(static_cast<double>(highest_hz) / spectrum.bin_width_hz());
  return std::min(spectrum.power().size(), static_cast<std::size_t>(past));
}

float Scale::total_power() const noexcept {
  const auto power = spectrum.power();
  const std::size_t first = first_bin();
  const std::size_t last = end_bin();
  // Four sums side by side: one alone would wait for each addition.
  std::array<float, 4> sums{};
  for (std::size_t k = first; k + 4 <= last; k += 4) {
    for (std::size_t lane = 0; lane < 4; ++lane) {
      sums[lane] += power[k + lane];
    }
  }
  return sums[0] + sums[1] + sums[2] + sums[3];
}

Scales::Scales(double sample_rate_hz)
    : hop_samples_{hop_samples_for(sample_rate_hz)},
      decimators_{make_decimators(sample_rate_hz, hop_samples_)},
      long_window_halvings_{halvings_for(sample_rate_hz, LongWindow::kHighestHz)},
      long_window_{std::ldexp(sample_rate_hz, -long_window_halvings_),
                   hop_samples_ >> long_window_halvings_} {
  for (const ScalePlan& plan : kScalePlans) {
    const double highest_hz = std::min(plan.highest_hz, 0.45 * sample_rate_hz);
    if (plan.lowest_hz >= highest_hz) {
      continue;  // the rate is too low to hold this band
    }
    const int halvings = halvings_for(sample_rate_hz, plan.highest_hz);
    const double rate = std::ldexp(sample_rate_hz, -halvings);
    const int window = base::fast_fft_size(static_cast<int>(std::lround(plan.window_s * rate)));
    const int hop = hop_samples_ >> halvings;
    Spectrum spectrum{rate, window, hop};
    const double width = spectrum.bin_width_hz();
    Tracks tracks{spectrum,
                  PeakRange{static_cast<int>(std::ceil(plan.lowest_hz / width)),
                            static_cast<int>(highest_hz / width)}};
    double decimation_s = 0.0;
    for (int k = 0; k < halvings; ++k) {
      const Decimator& decimator = decimators_[static_cast<std::size_t>(k)];
      decimation_s += decimator.delay_samples() / std::ldexp(sample_rate_hz, -k);
    }
    scales_.push_back(Scale{std::move(spectrum),
                            std::move(tracks),
                            SlopeFit{window, hop, kMaxSlopeLooks},
                            halvings,
                            static_cast<float>(plan.speaks_from_hz),
                            static_cast<float>(plan.speaks_to_hz),
                            decimation_s});
  }
  scales_.back().highest_hz = static_cast<float>(sample_rate_hz);
}

void Scales::advance(std::span<const float> hop) noexcept {
  int halvings = 0;
  const auto look = [&](std::span<const float> samples) {
    for (Scale& scale : scales_) {
      if (scale.halvings == halvings) {
        scale.spectrum.advance(samples);
        scale.tracks.advance(scale.spectrum);
      }
    }
    if (long_window_halvings_ == halvings) {
      long_window_.advance(samples);
    }
  };
  look(hop);
  for (Decimator& decimator : decimators_) {
    hop = decimator.process(hop);
    ++halvings;
    look(hop);
  }
}

}  // namespace brink::detector
