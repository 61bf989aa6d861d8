// Time that the detector takes for a second of audio, divided by the time of KissFFT's transforms
// with the same windows and hops in the same run: a yardstick that a faster transform of our own
// does not change. Target: at most 2.0. Also the time of our own transforms.
#include <fmt/core.h>
#include <kissfft/kiss_fftr.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <ctime>
#include <limits>
#include <memory>
#include <span>
#include <vector>

#include "base/fft.h"
#include "bench/signals.h"
#include "detector/decimator.h"
#include "detector/detector.h"

namespace {

using brink::bench::Programme;

constexpr double kTargetRatio = 2.0;
constexpr double kLengthS = 60.0;
constexpr int kRounds = 5;
constexpr std::size_t kBlockSamples = 4096;

/// The detector's analyses, as in detector.cpp. Each transforms one window for each hop, at the
/// lowest halved rate that still holds its band.
struct Analysis {
  double window_s;
  double highest_hz;
};

constexpr std::array<Analysis, 3> kAnalyses{
    {{0.3413, 1200.0}, {0.1707, 4800.0}, {0.0853, 20000.0}}};

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

/// Of one library's transform: make(size) gives a function of samples and bins.
template <typename Make>
double transforms_s(double sample_rate_hz,
                    int hop_samples,
                    const std::vector<float>& samples,
                    const Make& make) {
  double spent_s = 0.0;
  const std::size_t hops = samples.size() / static_cast<std::size_t>(hop_samples);
  float kept = 0.0F;  // keeps the compiler from leaving out a transform
  for (const Analysis& analysis : kAnalyses) {
    const int window = window_samples(analysis, sample_rate_hz);
    auto transform = make(window);
    std::vector<std::complex<float>> bins(static_cast<std::size_t>(window) / 2 + 1);
    const double start_s = processor_s();
    for (std::size_t hop = 0; hop < hops; ++hop) {
      const std::size_t at = std::min(hop * static_cast<std::size_t>(hop_samples),
                                      samples.size() - static_cast<std::size_t>(window));
      transform({samples.data() + at, static_cast<std::size_t>(window)}, bins);
      kept += bins[1].real();
    }
    spent_s += processor_s() - start_s;
  }
  return kept == std::numeric_limits<float>::infinity() ? 0.0 : spent_s;
}

auto our_transform(int size) {
  return [fft = brink::base::Fft{size}](std::span<const float> samples,
                                        std::span<std::complex<float>> bins) mutable {
    fft.forward(samples, bins);
  };
}

auto kiss_transform(int size) {
  const std::shared_ptr<kiss_fftr_state> plan{kiss_fftr_alloc(size, 0, nullptr, nullptr),
                                              [](kiss_fftr_cfg used) { kiss_fftr_free(used); }};
  return [plan](std::span<const float> samples, std::span<std::complex<float>> bins) {
    kiss_fftr(plan.get(), samples.data(), reinterpret_cast<kiss_fft_cpx*>(bins.data()));
  };
}

void compare(double sample_rate_hz) {
  std::vector<float> samples(static_cast<std::size_t>(kLengthS * sample_rate_hz));
  Programme{sample_rate_hz}.next(samples);
  const int hop_samples =
      brink::detector::Detector{{.sample_rate_hz = sample_rate_hz}}.hop_samples();
  // All take turns. The fastest run of each is the one with the least disturbance.
  double detector_best_s = std::numeric_limits<double>::infinity();
  double transforms_best_s = std::numeric_limits<double>::infinity();
  double kiss_best_s = std::numeric_limits<double>::infinity();
  for (int round = 0; round < kRounds; ++round) {
    detector_best_s = std::min(detector_best_s, detector_s(sample_rate_hz, samples));
    transforms_best_s = std::min(transforms_best_s,
                                 transforms_s(sample_rate_hz, hop_samples, samples, our_transform));
    kiss_best_s =
        std::min(kiss_best_s, transforms_s(sample_rate_hz, hop_samples, samples, kiss_transform));
  }
  const double ratio = detector_best_s / kiss_best_s;
  fmt::print(
      "  {:6.0f} Hz: detector {:.2f} ms, transforms {:.2f} ms, KissFFT's {:.2f} ms per second of "
      "audio; "
      "ratio to these {:.2f} (target {:.1f}: {}); {:.0f} times real time\n",
      sample_rate_hz,
      1e3 * detector_best_s / kLengthS,
      1e3 * transforms_best_s / kLengthS,
      1e3 * kiss_best_s / kLengthS,
      ratio,
      kTargetRatio,
      ratio <= kTargetRatio ? "kept" : "missed",
      kLengthS / detector_best_s);
}

}  // namespace

int main() {
  fmt::print("Speed: the detector against bare transforms of its windows and hops\n");
  for (const double sample_rate_hz : {48000.0, 44100.0, 16000.0, 96000.0}) {
    compare(sample_rate_hz);
  }
}
