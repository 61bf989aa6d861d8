#include "report/loop_trust.h"

#include <fmt/format.h>

#include <cmath>
#include <complex>
#include <numbers>

#include "base/error.h"

namespace brink::report {
namespace {

/// Less than this can come from noise in a response without any delay to speak of.
constexpr double kLeastAgreement = 0.1;

}  // namespace

LoopTrust loop_trust(const EvenGain& loop) {
  LoopTrust trust;
  const auto& gain = loop.gain;
  double missed = 0.0;
  double power = 0.0;
  for (std::size_t k = 3; k + 3 < gain.size(); k += 2) {
    const auto foreseen = (9.0 * (gain[k - 1] + gain[k + 1]) - gain[k - 3] - gain[k + 3]) / 16.0;
    missed += std::norm(gain[k] - foreseen);
    power += std::norm(gain[k]);
  }
  trust.surprise = power > 0.0 ? std::sqrt(missed / power) : 0.0;
  std::complex<double> turn;
  double all = 0.0;
  for (std::size_t k = 1; k < gain.size(); ++k) {
    turn += gain[k] * std::conj(gain[k - 1]);
    all += 0.5 * (std::norm(gain[k]) + std::norm(gain[k - 1]));
  }
  if (all > 0.0) {
    trust.delay_s = -std::arg(turn) / (2.0 * std::numbers::pi * loop.step_hz);
    trust.agreement = std::abs(turn) / all;
  }
  return trust;
}

std::optional<std::string> check_trust(const EvenGain& loop, const std::string& name) {
  const LoopTrust trust = loop_trust(loop);
  if (trust.agreement >= kLeastAgreement && trust.delay_s < 0.0) {
    throw base::Error(fmt::format(
        "{}: the phase rises with frequency, as if the sound came back {:.1f} ms before "
        "it was sent; turn the phase's sign.",
        name,
        -1000.0 * trust.delay_s));
  }
  if (trust.surprise >= kWrongSurprise) {
    throw base::Error(
        fmt::format("{}: steps of {:g} Hz do not resolve this loop, as each second point is off by "
                    "{:.0f} % from what its neighbours say; give the response in finer steps.",
                    name,
                    loop.step_hz,
                    100.0 * trust.surprise));
  }
  if (trust.surprise >= kDoubtfulSurprise) {
    return fmt::format(
        "Steps of {:g} Hz hardly resolve this loop: each second point is off by "
        "{:.0f} % from what its neighbours say. The plan will win less than it says; "
        "give the response in finer steps.",
        loop.step_hz,
        100.0 * trust.surprise);
  }
  return std::nullopt;
}

}  // namespace brink::report
