#include "loop/random.h"

namespace brink::loop {

double Random::uniform() noexcept {
  constexpr double kStep = 1.0 / 9007199254740992.0;  // 2^-53, the resolution of a double
  return static_cast<double>(engine_() >> 11U) * kStep;
}

double Random::normal() noexcept {
  constexpr double kStep = 1.0 / 65536.0;
  // 12 numbers from 0 to 1 - kStep in steps of kStep.
  constexpr double kMean = 6.0 - 12.0 * 0.5 * kStep;
  double sum = 0.0;
  for (int draw = 0; draw < 3; ++draw) {
    const std::uint64_t bits = engine_();
    for (unsigned part = 0; part < 4; ++part) {
      sum += static_cast<double>((bits >> (16U * part)) & 0xFFFFU) * kStep;
    }
  }
  return sum - kMean;
}

}  // namespace brink::loop
