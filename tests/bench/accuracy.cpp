// Accuracy of frequency and growth: a steady tone, compared with the Cramer-Rao bound; and a
// growing tone, compared with its true figures.
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <optional>
#include <vector>

#include "bench/signals.h"
#include "detector/decimator.h"
#include "detector/detector.h"
#include "detector/slope_fit.h"
#include "detector/spectrum.h"
#include "detector/tracks.h"

namespace {

using brink::bench::Random;
using brink::bench::ToneInNoise;
using brink::detector::Track;

constexpr double kRateHz = 48000.0;
constexpr std::size_t kHopSamples = 768;
constexpr double kTurn = 2.0 * std::numbers::pi;

const char* verdict(bool is_kept) {
  return is_kept ? "kept" : "missed";
}

/// Root mean square and mean of errors.
class Errors {
 public:
  void add(double error) {
    sum_ += error;
    squares_ += error * error;
    ++count_;
  }

  [[nodiscard]] int count() const { return count_; }

  [[nodiscard]] double mean() const { return sum_ / count_; }

  [[nodiscard]] double rms() const { return std::sqrt(squares_ / count_); }

  /// Standard deviation of mean().
  [[nodiscard]] double mean_deviation() const {
    return std::sqrt(std::max(squares_ / count_ - mean() * mean(), 0.0) / count_);
  }

 private:
  double sum_ = 0.0;
  double squares_ = 0.0;
  int count_ = 0;
};

// ---- A steady tone in white noise -----------------------------------------------------------

/// The smallest possible standard deviation of a frequency, from `samples` samples of a real sine
/// in white noise, away from 0 Hz and half the rate. Its square is 12 / ((2 pi)^2 snr N (N^2 - 1))
/// cycles per sample, with snr = A^2 / (2 sigma^2). Source: S. M. Kay, "Fundamentals of Statistical
/// Signal Processing", 1993, section 3.11, from memory. The complex tone of D. C. Rife and R. R.
/// Boorstyn, IEEE Trans. IT 20(5), 1974, has half of it.
double bound_hz(double snr_db, double samples) {
  const double snr = std::pow(10.0, snr_db / 10.0);
  return kRateHz * std::sqrt(12.0 / (kTurn * kTurn * snr * samples * (samples * samples - 1.0)));
}

/// One of the detector's analyses at 48 kHz, as in detector.cpp, with the band in which the
/// detector uses it.
struct Analysis {
  int halvings;
  int window_samples;
  double lowest_hz, highest_hz;

  [[nodiscard]] int factor() const { return 1 << halvings; }
};

constexpr std::array<Analysis, 3> kAnalyses{
    {{4, 1024, 100.0, 700.0}, {1, 4320, 700.0, 3500.0}, {0, 4096, 3500.0, 18000.0}}};
// Numbers of looks over which the detector fits its lines.
constexpr std::array kLooks{12, 18, 27, 40, 64};
constexpr int kMostLooks = 64;
constexpr double kTargetRatio = 1.5;

/// Frequency of the track nearest to the tone over its newest looks, measured as in Rings.
class SteadyTrial {
 public:
  explicit SteadyTrial(const Analysis& analysis)
      : spectrum_{kRateHz / analysis.factor(),
                  analysis.window_samples,
                  static_cast<int>(kHopSamples) / analysis.factor()},
        tracks_{spectrum_, {8, analysis.window_samples / 2 - 9}} {
    for (int i = 0; i < analysis.halvings; ++i) {
      halvings_.emplace_back(static_cast<int>(kHopSamples) >> i);
    }
  }

  void push(std::span<const float> samples) {
    for (std::size_t at = 0; at + kHopSamples <= samples.size(); at += kHopSamples) {
      std::span<const float> hop = samples.subspan(at, kHopSamples);
      for (auto& halving : halvings_) {
        hop = halving.process(hop);
      }
      spectrum_.advance(hop);
      tracks_.advance(spectrum_);
    }
  }

  [[nodiscard]] std::optional<double> frequency_hz(double near_hz,
                                                   std::span<const float> weights) const {
    for (const Track* track : tracks_.live()) {
      const double distance_hz = std::abs(static_cast<double>(track->frequency_hz) - near_hz);
      const auto looks = static_cast<int>(weights.size());
      if (distance_hz > 0.5 * spectrum_.bin_width_hz() || track->history_hops() < looks) {
        continue;
      }
      double slope = 0.0;
      for (int back = 0; back < looks; ++back) {
        slope += static_cast<double>(weights[static_cast<std::size_t>(back)]) *
                 static_cast<double>(track->look(back).phase);
      }
      return static_cast<double>(track->reference_hz) + slope / (kTurn * spectrum_.hop_s());
    }
    return std::nullopt;
  }

 private:
  std::vector<brink::detector::Decimator> halvings_;
  brink::detector::Spectrum spectrum_;
  brink::detector::Tracks tracks_;
};

/// Prints one row. Returns its worst ratio.
double steady_row(const Analysis& analysis, double snr_db, int trials) {
  const brink::detector::SlopeFit fit{
      analysis.window_samples, static_cast<int>(kHopSamples) / analysis.factor(), kMostLooks};
  const int window_hops =
      analysis.window_samples * analysis.factor() / static_cast<int>(kHopSamples);
  std::vector<float> samples(static_cast<std::size_t>(kMostLooks + window_hops + 2) * kHopSamples);
  std::array<Errors, kLooks.size()> errors;
  Random random{static_cast<std::uint64_t>(snr_db) + 1};
  for (int trial = 0; trial < trials; ++trial) {
    ToneInNoise tone;
    tone.frequency_hz =
        analysis.lowest_hz * std::pow(analysis.highest_hz / analysis.lowest_hz, random.even());
    tone.phase_rad = kTurn * random.even();
    tone.noise_rms = tone.amplitude / std::numbers::sqrt2 * std::pow(10.0, -snr_db / 20.0);
    render(tone, random, samples);
    SteadyTrial run{analysis};
    run.push(samples);
    for (std::size_t i = 0; i < kLooks.size(); ++i) {
      if (const auto hz = run.frequency_hz(tone.frequency_hz, fit.weights(kLooks[i]))) {
        errors[i].add(*hz - tone.frequency_hz);
      }
    }
  }
  fmt::print("  {:5d} to {:5d} Hz, {:2.0f} dB:",
             static_cast<int>(analysis.lowest_hz),
             static_cast<int>(analysis.highest_hz),
             snr_db);
  double worst = 0.0;
  for (std::size_t i = 0; i < kLooks.size(); ++i) {
    const double used = analysis.window_samples * analysis.factor() +
                        (kLooks[i] - 1.0) * static_cast<double>(kHopSamples);
    const double ratio = errors[i].rms() / bound_hz(snr_db, used);
    worst = std::max(worst, ratio);
    fmt::print("  {} {:.2f} ({:.5f} Hz)", kLooks[i], ratio, errors[i].rms());
    if (errors[i].count() < trials) {
      fmt::print(" [{} of {}]", errors[i].count(), trials);
    }
  }
  fmt::print("\n");
  return worst;
}

void report_steady(int trials) {
  fmt::print(
      "Accuracy: a steady tone in white noise, any frequency and phase, {} trials each\n"
      "  RMS error over the Cramer-Rao bound of the samples used, by looks; the RMS error itself\n",
      trials);
  double worst = 0.0;
  for (const Analysis& analysis : kAnalyses) {
    for (const double snr_db : {10.0, 20.0, 40.0}) {
      worst = std::max(worst, steady_row(analysis, snr_db, trials));
    }
  }
  fmt::print("  worst {:.2f} (target {:.1f}: {}; one ratio is known within {:.0f} %)\n",
             worst,
             kTargetRatio,
             verdict(worst <= kTargetRatio),
             100.0 / std::sqrt(2.0 * trials));
}

// ---- A growing tone, through the detector -----------------------------------------------------

class LastRing final : public brink::detector::EventSink {
 public:
  void on_event(const brink::detector::RingEvent& event) noexcept override {
    if (event.ring.flagged_sample != brink::detector::kNever &&
        (!ring || event.ring.peak_dbfs >= ring->peak_dbfs)) {
      ring = event.ring;
    }
  }

  std::optional<brink::detector::Ring> ring;
};

struct GrowthErrors {
  Errors frequency_hz, growth_db_per_s;
  int within = 0;

  void add(double frequency_error_hz, double growth_error_db_per_s, double growth_db_per_s_true) {
    frequency_hz.add(frequency_error_hz);
    growth_db_per_s.add(growth_error_db_per_s);
    // The target is 3 % or 0.5 dB/s, whichever is more.
    within += std::abs(growth_error_db_per_s) <= std::max(0.5, 0.03 * growth_db_per_s_true) ? 1 : 0;
  }

  void print(const char* source, double growth, int trials) const {
    if (frequency_hz.count() == 0) {
      fmt::print("    {:12s} never seen\n", source);
      return;
    }
    constexpr double kTargetBiasHz = 0.05;
    const double spread_db_per_s = growth_db_per_s.rms();
    fmt::print(
        "    {:12s} {:3d} of {}: frequency bias {:+.4f} +- {:.4f} Hz ({}), RMS {:.4f} Hz; growth "
        "mean "
        "{:+.2f}, RMS {:.2f} dB/s ({}), {:.0f} % of them within\n",
        source,
        frequency_hz.count(),
        trials,
        frequency_hz.mean(),
        frequency_hz.mean_deviation(),
        verdict(std::abs(frequency_hz.mean()) <= kTargetBiasHz),
        frequency_hz.rms(),
        growth_db_per_s.mean(),
        spread_db_per_s,
        verdict(spread_db_per_s <= std::max(0.5, 0.03 * growth)),
        100.0 * within / frequency_hz.count());
  }
};

constexpr double kReachHz = 6.0;  // a line farther away is another line

/// The loudest line of the brink map near a frequency.
std::optional<brink::detector::TrackView> view_of(const brink::detector::Detector& detector,
                                                  double frequency_hz) {
  std::optional<brink::detector::TrackView> loudest;
  for (const auto& view : detector.tracks()) {
    if (std::abs(view.frequency_hz - frequency_hz) < kReachHz &&
        (!loudest || view.level_dbfs > loudest->level_dbfs)) {
      loudest = view;
    }
  }
  return loudest;
}

/// What the detector reports of a tone that is 20 dB above white programme.
void growing_row(double growth_db_per_s, int trials) {
  constexpr double kQuietS = 1.0;     // programme alone at first
  constexpr double kHeldS = 1.0;      // time at the limiter at the end
  constexpr double kStartDb = -25.0;  // level of the tone re the RMS of the whole programme
  constexpr double kEndDb = 20.0;
  constexpr double kProgramme = 0.01;  // RMS
  const double length_s = (kEndDb - kStartDb) / growth_db_per_s;
  Random random{static_cast<std::uint64_t>(growth_db_per_s)};
  GrowthErrors views;
  GrowthErrors rings;
  for (int trial = 0; trial < trials; ++trial) {
    ToneInNoise tone;
    tone.frequency_hz = 100.0 * std::pow(120.0, random.even());
    tone.phase_rad = kTurn * random.even();
    tone.noise_rms = kProgramme;
    tone.growth_db_per_s = growth_db_per_s;
    tone.amplitude = std::numbers::sqrt2 * kProgramme * std::pow(10.0, kStartDb / 20.0);
    std::vector<float> quiet(static_cast<std::size_t>(kQuietS * kRateHz));
    for (float& sample : quiet) {
      sample = static_cast<float>(kProgramme) * random.bell();
    }
    std::vector<float> growing(static_cast<std::size_t>(length_s * kRateHz));
    render(tone, random, growing);
    brink::detector::Detector detector{{.sample_rate_hz = kRateHz}};
    LastRing sink;
    detector.push(quiet, sink);
    detector.push(growing, sink);
    if (const auto view = view_of(detector, tone.frequency_hz)) {
      views.add(view->frequency_hz - tone.frequency_hz,
                view->growth_db_per_s - growth_db_per_s,
                growth_db_per_s);
    }
    // Then a limiter holds the tone. The detector reports the ring with what it measured before.
    tone.phase_rad += kTurn * tone.frequency_hz * static_cast<double>(growing.size()) / kRateHz;
    tone.amplitude *= std::pow(10.0, (kEndDb - kStartDb) / 20.0);
    tone.growth_db_per_s = 0.0;
    std::vector<float> held(static_cast<std::size_t>(kHeldS * kRateHz));
    render(tone, random, held);
    detector.push(held, sink);
    detector.finish(sink);
    if (sink.ring && std::abs(sink.ring->frequency_hz - tone.frequency_hz) < kReachHz) {
      rings.add(sink.ring->frequency_hz - tone.frequency_hz,
                sink.ring->growth_db_per_s - growth_db_per_s,
                growth_db_per_s);
    }
  }
  fmt::print("  {:.0f} dB/s\n", growth_db_per_s);
  views.print("tracks()", growth_db_per_s, trials);
  rings.print("ring events", growth_db_per_s, trials);
}

void report_growing(int trials) {
  fmt::print(
      "Accuracy: a tone that grows out of white programme until it is 20 dB over all of it. "
      "tracks() is\n"
      "  read there, the ring after a limiter has held the tone there for a second\n"
      "  targets: frequency bias at most 0.05 Hz from 20 to 200 dB/s; growth within 3 % or 0.5 "
      "dB/s\n"
      "  from 3 to 200 dB/s\n");
  for (const double growth_db_per_s : {3.0, 10.0, 20.0, 50.0, 100.0, 200.0}) {
    growing_row(growth_db_per_s, trials);
  }
}

}  // namespace

/// bench_accuracy [TRIALS]
int main(int argc, char** argv) {
  const int trials = argc > 1 ? std::atoi(argv[1]) : 200;
  report_steady(trials);
  report_growing(std::max(1, trials / 4));
}
