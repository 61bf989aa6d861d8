#include "cuts/cut.h"

#include <cmath>

#include "base/units.h"
#include "cuts/filters.h"

namespace brink::cuts {

base::Biquad to_section(const Cut& cut, double sample_rate_hz) noexcept {
  return design_peaking(cut.centre_hz, cut.q, cut.depth_db, sample_rate_hz);
}

std::complex<double> response(const Cut& cut, double frequency_hz, double sample_rate_hz) noexcept {
  return base::response(to_section(cut, sample_rate_hz), frequency_hz, sample_rate_hz);
}

double level_db(const Cut& cut, double frequency_hz) noexcept {
  // The cookbook's analogue prototype is H(s) = (s^2 + s A/Q + 1) / (s^2 + s/(A Q) + 1). On s = i
  // x, with u = Q (1/x - x), it gives |H|^2 = (u^2 + A^2) / (u^2 + 1/A^2).
  const double x = frequency_hz / cut.centre_hz;
  const double u = cut.q * (1.0 / x - x);
  const double gain = std::pow(10.0, cut.depth_db / 20.0);  // A^2
  return base::power_to_db((u * u + gain) / (u * u + 1.0 / gain));
}

}  // namespace brink::cuts
