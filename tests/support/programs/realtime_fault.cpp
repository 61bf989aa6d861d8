// Does what an audio callback must not do. Returns 0 only if nothing catches it.
#include <vector>

#include "base/realtime.h"

namespace {

void callback(std::vector<float>& samples) noexcept BRINK_NONBLOCKING {
  samples.push_back(0.0F);
}

}  // namespace

int main() {
  std::vector<float> samples;
  callback(samples);
  return samples.size() == 1 ? 0 : 1;
}
