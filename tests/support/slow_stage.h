#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

#include "base/biquad.h"
#include "base/units.h"
#include "loop/limiter.h"
#include "loop/plan.h"

namespace brink::tests {

/// The closed loop, sample by sample, directly from its definition. It is the truth that the fast
/// simulation is compared with.
class SlowStage {
 public:
  double sample_rate_hz = 48000.0;
  std::vector<double> response;  // with the console delay
  std::vector<double> moved_response;
  double limit_lin = 0.5;
  std::function<double(double)> gain_lin = [](double) { return 1.0; };
  std::function<double(double)> position = [](double) { return 0.0; };
  std::vector<base::Biquad> sections;

  /// The microphone's signal.
  std::vector<double> run(const std::vector<float>& programme) const {
    std::vector<base::BiquadRunner> runners;
    for (const base::Biquad& section : sections) {
      runners.emplace_back(section);
    }
    std::vector<double> output(programme.size());
    std::vector<double> microphone(programme.size());
    for (std::size_t n = 0; n < programme.size(); ++n) {
      const double time_s = static_cast<double>(n) / sample_rate_hz;
      const double share = position(time_s);
      microphone[n] = static_cast<double>(programme[n]) +
                      (1.0 - share) * heard(response, output, n) +
                      share * heard(moved_response, output, n);
      double sample = gain_lin(time_s) * microphone[n];
      for (base::BiquadRunner& runner : runners) {
        sample = runner.step(sample);
      }
      output[n] = loop::soft_limit(sample, limit_lin);
    }
    return microphone;
  }

 private:
  static double heard(const std::vector<double>& taps,
                      const std::vector<double>& output,
                      std::size_t n) {
    double sum = 0.0;
    for (std::size_t k = 1; k < taps.size() && k <= n; ++k) {
      sum += taps[k] * output[n - k];
    }
    return sum;
  }
};

}  // namespace brink::tests
