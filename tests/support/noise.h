#pragma once

#include <random>
#include <vector>

namespace brink::tests {

/// White noise within +-peak, the same on every platform.
inline std::vector<float> flat_noise(std::size_t count, double peak, unsigned seed = 7) {
  std::mt19937 random{seed};
  std::vector<float> samples(count);
  for (float& sample : samples) {
    sample = static_cast<float>(peak * (static_cast<double>(random()) / 2147483648.0 - 1.0));
  }
  return samples;
}

}  // namespace brink::tests
