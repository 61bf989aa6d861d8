// What a stream of denormal samples costs a detector, as a ratio to silence and to quiet noise in
// the same run; and what such numbers cost this processor where nothing keeps them away.
#include "base/denormals.h"

#include <fmt/core.h>

#include <algorithm>
#include <ctime>
#include <vector>

#include "detector/detector.h"

namespace {

constexpr double kRateHz = 48000.0;
constexpr double kLengthS = 30.0;
constexpr int kRounds = 5;
constexpr std::size_t kBlockSamples = 1024;

double processor_s() {
  std::timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

class NoSink final : public brink::detector::EventSink {
 public:
  void on_event(const brink::detector::RingEvent&) noexcept override {}
};

double detector_s(const std::vector<float>& samples) {
  brink::detector::Detector detector{{.sample_rate_hz = kRateHz}};
  NoSink sink;
  const double start_s = processor_s();
  for (std::size_t at = 0; at < samples.size(); at += kBlockSamples) {
    detector.push({samples.data() + at, std::min(kBlockSamples, samples.size() - at)}, sink);
  }
  return processor_s() - start_s;
}

/// A filter's sum over the samples, as any analysis has it.
double filter_s(const std::vector<float>& samples) {
  volatile float kept = 0.0F;
  float state = 0.0F;
  const double start_s = processor_s();
  for (const float sample : samples) {
    state = 0.5F * state + 0.5F * sample;
  }
  kept = state;
  (void)kept;
  return processor_s() - start_s;
}

template <typename Measure>
double least_s(const std::vector<float>& samples, const Measure& measure) {
  double least = measure(samples);
  for (int round = 1; round < kRounds; ++round) {
    least = std::min(least, measure(samples));
  }
  return least;
}

}  // namespace

int main() {
  const auto count = static_cast<std::size_t>(kLengthS * kRateHz);
  const std::vector<float> zeros(count, 0.0F);
  const std::vector<float> denormals(count, 1e-39F);
  std::vector<float> noise(count);
  unsigned state = 1;
  for (float& sample : noise) {
    state = 1664525U * state + 1013904223U;  // Numerical Recipes, 7.1
    sample = 1e-3F * (static_cast<float>(state >> 8U) / 8388608.0F - 1.0F);
  }
  const double noise_s = least_s(noise, detector_s);
  fmt::print("detector, samples of 1e-39: {:.2f} times the time of zeros, {:.2f} of noise\n",
             least_s(denormals, detector_s) / least_s(zeros, detector_s),
             least_s(denormals, detector_s) / noise_s);
  const double bare = least_s(denormals, filter_s) / least_s(noise, filter_s);
  const brink::base::NoDenormals no_denormals;
  fmt::print("a bare filter, samples of 1e-39 against noise: {:.1f} times, {:.1f} when kept away\n",
             bare,
             least_s(denormals, filter_s) / least_s(noise, filter_s));
}
