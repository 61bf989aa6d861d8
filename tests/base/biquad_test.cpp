#include "base/biquad.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <utility>
#include <vector>

using namespace brink::base;

namespace {

// Any stable section will do: poles at 0.9 exp(+-i pi/5).
constexpr Biquad kSection{0.5, -0.3, 0.2, -1.4562305898749054, 0.81};

}  // namespace

TEST_CASE("the response equals the sum over the impulse response") {
  BiquadRunner runner(kSection);
  // 0.9^400 is 5e-19: what is cut off lies under double precision.
  std::vector<double> impulse(400);
  double input = 1.0;
  for (double& sample : impulse) {
    sample = runner.step(std::exchange(input, 0.0));
  }
  for (const double f_hz : {0.0, 30.0, 1000.0, 4800.0, 17000.0, 24000.0}) {
    CAPTURE(f_hz);
    std::complex<double> sum = 0.0;
    for (std::size_t n = 0; n < impulse.size(); ++n) {
      sum += impulse[n] *
             std::polar(1.0, -2.0 * std::numbers::pi * f_hz / 48000.0 * static_cast<double>(n));
    }
    CHECK(std::abs(sum - response(kSection, f_hz, 48000.0)) < 1e-12);  // rounding of 400 terms
  }
}

TEST_CASE("the runner solves the difference equation") {
  // y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2], written out.
  BiquadRunner runner(kSection);
  double x1 = 0.0;
  double x2 = 0.0;
  double y1 = 0.0;
  double y2 = 0.0;
  for (int n = 0; n < 200; ++n) {
    const double x = std::sin(0.1 * n * n);
    const double y =
        kSection.b0 * x + kSection.b1 * x1 + kSection.b2 * x2 - kSection.a1 * y1 - kSection.a2 * y2;
    CHECK(std::abs(runner.step(x) - y) < 1e-12);  // rounding
    x2 = x1;
    x1 = x;
    y2 = y1;
    y1 = y;
  }
}

TEST_CASE("running a block equals stepping through it, and reset forgets") {
  std::array<float, 64> block{};
  for (std::size_t n = 0; n < block.size(); ++n) {
    block[n] = std::cos(0.3F * static_cast<float>(n));
  }
  BiquadRunner stepped(kSection);
  BiquadRunner ran(kSection);
  auto out = block;
  ran.run(out);
  for (std::size_t n = 0; n < block.size(); ++n) {
    CHECK(out[n] == static_cast<float>(stepped.step(static_cast<double>(block[n]))));
  }
  ran.reset();
  auto again = block;
  ran.run(again);
  CHECK(again == out);
}

TEST_CASE("the default section passes all") {
  CHECK(response(Biquad{}, 1234.0, 48000.0) == std::complex<double>(1.0));
}
