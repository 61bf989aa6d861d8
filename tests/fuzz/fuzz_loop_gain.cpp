// Any text as a loop's response: what is taken is an even grid of finite numbers.

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstdint>

#include "fuzz/fuzz.h"
#include "report/loop_gain.h"

using namespace brink;
using fuzz::demand;

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  report::EvenGain even;
  if (!fuzz::is_taken([&] { even = report::parse_loop_gain(fuzz::to_text(data, size), "text"); })) {
    return 0;
  }
  demand(even.step_hz > 0.0 && std::isfinite(even.step_hz) && !even.gain.empty());
  demand(std::all_of(even.gain.begin(), even.gain.end(), [](std::complex<double> gain) {
    return std::isfinite(gain.real()) && std::isfinite(gain.imag());
  }));
  return 0;
}
