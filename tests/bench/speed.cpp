// Time that the detector takes for a second of audio, divided by the time of the bare transforms
// with the same windows and hops in the same run: KissFFT's transforms of one number at a time, for
// which the target was set, and the detector's own. Target: at most 2.0 of the former.
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <ctime>
#include <limits>
#include <vector>

#include "base/fft.h"
#include "base/vector_fft.h"
#include "bench/signals.h"
#include "detector/decimator.h"
#include "detector/detector.h"
#include "detector/long_window.h"

namespace {

using brink::bench::Programme;

constexpr double kTargetRatio = 2.0;
constexpr double kLengthS = 60.0;
constexpr int kRounds = 5;
constexpr std::size_t kBlockSamples = 4096;

/// The detector's analyses, as in scales.cpp. Each transforms one window for each look, at the
/// lowest halved rate that still holds its band.
struct Analysis {
  double window_s;
  double highest_hz;
  std::size_t hops_per_look;
};

constexpr std::array<Analysis, 4> kAnalyses{
    {{0.3413, 1200.0, 1},
     {0.1707, 4800.0, 1},
     {0.0853, 20000.0, 1},
     {brink::detector::LongWindow::kWindowS,
      brink::detector::LongWindow::kHighestHz,
      brink::detector::LongWindow::kHopsPerLook}}};

int window_samples(const Analysis& analysis, double sample_rate_hz) {
  double rate_hz = sample_rate_hz;
  while (brink::detector::Decimator::kMostFlatTo * rate_hz / 2.0 >= analysis.highest_hz) {
    rate_hz /= 2.0;
  }
  return brink::base::fast_fft_size(static_cast<int>(std::lround(analysis.window_s * rate_hz)));
}

double processor_s() {
  std::timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

class NoSink final : public brink::detector::EventSink {
 public:
  void on_event(const brink::detector::RingEvent& event) noexcept override { last_ = event.sample; }

  [[nodiscard]] std::int64_t last() const noexcept { return last_; }

 private:
  std::int64_t last_ = 0;
};

double detector_s(double sample_rate_hz, const std::vector<float>& samples) {
  brink::detector::Detector detector{{.sample_rate_hz = sample_rate_hz}};
  NoSink sink;
  const double start_s = processor_s();
  for (std::size_t at = 0; at < samples.size(); at += kBlockSamples) {
    detector.push({samples.data() + at, std::min(kBlockSamples, samples.size() - at)}, sink);
  }
  return processor_s() - start_s;
}

template <typename Transform>
double transforms_s(double sample_rate_hz, int hop_samples, const std::vector<float>& samples) {
  double spent_s = 0.0;
  const std::size_t hops = samples.size() / static_cast<std::size_t>(hop_samples);
  float kept = 0.0F;  // keeps the compiler from leaving out a transform
  for (const Analysis& analysis : kAnalyses) {
    const int window = window_samples(analysis, sample_rate_hz);
    Transform fft{window};
    std::vector<std::complex<float>> bins(static_cast<std::size_t>(fft.bin_count()));
    const double start_s = processor_s();
    for (std::size_t hop = 0; hop < hops; hop += analysis.hops_per_look) {
      const std::size_t at = std::min(hop * static_cast<std::size_t>(hop_samples),
                                      samples.size() - static_cast<std::size_t>(window));
      fft.forward({samples.data() + at, static_cast<std::size_t>(window)}, bins);
      kept += bins[1].real();
    }
    spent_s += processor_s() - start_s;
  }
  return kept == std::numeric_limits<float>::infinity() ? 0.0 : spent_s;
}

void compare(double sample_rate_hz) {
  std::vector<float> samples(static_cast<std::size_t>(kLengthS * sample_rate_hz));
  Programme{sample_rate_hz}.next(samples);
  const int hop_samples =
      brink::detector::Detector{{.sample_rate_hz = sample_rate_hz}}.hop_samples();
  // They take turns. The fastest run of each is the one with the least disturbance.
  double detector_best_s = std::numeric_limits<double>::infinity();
  double transforms_best_s = std::numeric_limits<double>::infinity();
  double own_best_s = std::numeric_limits<double>::infinity();
  for (int round = 0; round < kRounds; ++round) {
    detector_best_s = std::min(detector_best_s, detector_s(sample_rate_hz, samples));
    transforms_best_s = std::min(
        transforms_best_s, transforms_s<brink::base::Fft>(sample_rate_hz, hop_samples, samples));
    own_best_s = std::min(
        own_best_s, transforms_s<brink::base::VectorFft>(sample_rate_hz, hop_samples, samples));
  }
  const double ratio = detector_best_s / transforms_best_s;
  fmt::print(
      "  {:6.0f} Hz: detector {:.2f} ms, transforms {:.2f} ms per second of audio; ratio {:.2f} "
      "(target {:.1f}: {}), {:.2f} of its own transforms; {:.0f} times real time\n",
      sample_rate_hz,
      1e3 * detector_best_s / kLengthS,
      1e3 * transforms_best_s / kLengthS,
      ratio,
      kTargetRatio,
      ratio <= kTargetRatio ? "kept" : "missed",
      detector_best_s / own_best_s,
      kLengthS / detector_best_s);
}

}  // namespace

int main() {
  fmt::print("Speed: the detector against bare transforms of its windows and hops\n");
  for (const double sample_rate_hz : {48000.0, 44100.0, 16000.0, 96000.0}) {
    compare(sample_rate_hz);
  }
}
