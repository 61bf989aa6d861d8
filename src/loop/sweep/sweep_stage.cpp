#include "loop/sweep/sweep_stage.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "loop/convolver.h"
#include "loop/limiter.h"
#include "loop/require.h"

namespace brink::loop {

std::vector<float> sweep_on_stage(const StageConfig& stage, const SweepOnStage& sweep) {
  require(sweep.level_dbfs, -100.0, 0.0, "level of the sweep", "dBFS");
  require(sweep.clock_ratio, 0.99, 1.01, "ratio of the clocks");
  SweepSignal signal = sweep.signal;
  signal.sweep.sample_rate_hz = stage.sample_rate_hz;
  std::vector<float> played = sweep_signal(signal);
  if (sweep.clock_ratio != 1.0) {
    std::fill(played.begin(), played.end(), 0.0F);
    const std::vector<double> one = exponential_sweep(signal.sweep, sweep.clock_ratio);
    for (int k = 0; k < signal.count; ++k) {
      const double start_s = signal.lead_s + k * (signal.sweep.length_s + signal.decay_s);
      const auto start = static_cast<std::size_t>(
          std::llround(start_s * stage.sample_rate_hz * sweep.clock_ratio));
      for (std::size_t n = 0; n < one.size() && start + n < played.size(); ++n) {
        played[start + n] = static_cast<float>(one[n]);
      }
    }
  }
  const double level_lin = base::db_to_amplitude(sweep.level_dbfs);
  const double limit_lin = base::db_to_amplitude(stage.limit_dbfs);
  constexpr int kBlock = 4096;
  UniformConvolver convolver(kBlock, std::span(&stage.response, 1));
  Programme noise(sweep.noise);
  std::vector<float> heard(played.size());
  noise.fill(heard);
  std::vector<double> block(kBlock);
  std::vector<double> came(kBlock);
  for (std::size_t start = 0; start < played.size(); start += kBlock) {
    const std::size_t count = std::min<std::size_t>(kBlock, played.size() - start);
    std::fill(block.begin(), block.end(), 0.0);
    for (std::size_t n = 0; n < count; ++n) {
      block[n] = soft_limit(level_lin * static_cast<double>(played[start + n]), limit_lin);
    }
    convolver.push(block, came);
    for (std::size_t n = 0; n < count; ++n) {
      heard[start + n] += static_cast<float>(came[n]);
    }
  }
  return heard;
}

}  // namespace brink::loop
