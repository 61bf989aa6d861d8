#include "listen/slowed_tap.h"

#include <algorithm>
#include <cmath>

namespace brink::listen {
namespace {

constexpr double kMostRateHz = 32000.0;

int halvings(double sample_rate_hz) noexcept {
  int count = 0;
  while (sample_rate_hz >= kMostRateHz) {
    sample_rate_hz /= 2.0;
    ++count;
  }
  return count;
}

std::vector<detector::Decimator> make_decimators(int count, std::size_t step) {
  std::vector<detector::Decimator> decimators;
  decimators.reserve(static_cast<std::size_t>(count));
  for (int k = 0; k < count; ++k) {
    decimators.emplace_back(static_cast<int>(step >> static_cast<unsigned>(k)));
  }
  return decimators;
}

}  // namespace

SlowedTap::SlowedTap(double sample_rate_hz)
    : decimators_(make_decimators(halvings(sample_rate_hz), kStepSamples)),
      rate_hz_(sample_rate_hz / std::exp2(static_cast<double>(decimators_.size()))),
      waiting_(kStepSamples) {}

void SlowedTap::push(std::span<const float> block,
                     const std::function<void(std::span<const float>)>& use) {
  while (!block.empty()) {
    const std::size_t count = std::min(block.size(), kStepSamples - waits_);
    std::copy_n(block.begin(), count, waiting_.begin() + static_cast<std::ptrdiff_t>(waits_));
    waits_ += count;
    block = block.subspan(count);
    if (waits_ == kStepSamples) {
      std::span<const float> samples(waiting_);
      for (detector::Decimator& decimator : decimators_) {
        samples = decimator.process(samples);
      }
      use(samples);
      waits_ = 0;
    }
  }
}

}  // namespace brink::listen
