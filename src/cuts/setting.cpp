#include "cuts/setting.h"

#include <cmath>

#include "base/units.h"
#include "cuts/filters.h"

namespace brink::cuts {

std::vector<base::Biquad> to_sections(const Setting& setting, double sample_rate_hz) {
  std::vector<base::Biquad> sections;
  if (setting.high_pass.corner_hz > 0.0) {
    sections.push_back(design_high_pass(setting.high_pass.corner_hz, HighPass::kQ, sample_rate_hz));
  }
  for (const Cut& cut : setting.cuts) {
    sections.push_back(to_section(cut, sample_rate_hz));
  }
  return sections;
}

std::complex<double> response(const Setting& setting,
                              double frequency_hz,
                              double sample_rate_hz) noexcept {
  std::complex<double> product = 1.0;
  if (setting.high_pass.corner_hz > 0.0) {
    product =
        base::response(design_high_pass(setting.high_pass.corner_hz, HighPass::kQ, sample_rate_hz),
                       frequency_hz,
                       sample_rate_hz);
  }
  for (const Cut& cut : setting.cuts) {
    product *= response(cut, frequency_hz, sample_rate_hz);
  }
  return product;
}

double mean_level_lost_db(const Setting& setting, double sample_rate_hz) {
  // 100 points to a band. So a cut of Q 60, a sixtieth of an octave wide, still gets five points.
  constexpr int kPointsPerBand = 100;
  const std::vector<base::Biquad> sections = to_sections(setting, sample_rate_hz);
  double lost_db = 0.0;
  for (int band = kFirstLossBand; band <= kLastLossBand; ++band) {
    const double lower_hz = base::third_octave_lower_hz(band);
    const double ratio = base::third_octave_upper_hz(band) / lower_hz;
    double power = 0.0;
    for (int point = 0; point < kPointsPerBand; ++point) {
      const double f_hz = lower_hz * std::pow(ratio, (point + 0.5) / kPointsPerBand);
      const auto z1 = std::polar(1.0, -2.0 * std::numbers::pi * f_hz / sample_rate_hz);
      const auto z2 = z1 * z1;
      double product = 1.0;
      for (const base::Biquad& s : sections) {
        product *= std::norm(s.b0 + s.b1 * z1 + s.b2 * z2) / std::norm(1.0 + s.a1 * z1 + s.a2 * z2);
      }
      power += product;
    }
    lost_db -= base::power_to_db(power / kPointsPerBand);
  }
  return lost_db / kLossBandCount;
}

}  // namespace brink::cuts
