#include "loop/sweep/measured_band.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "base/units.h"

namespace brink::loop {
namespace {

using Complex = std::complex<double>;

constexpr double kDbPerNeper = 20.0 / std::numbers::ln10;
constexpr int kFirstBand = -12;   // 63 Hz
constexpr int kLastBand = 12;     // 16 kHz
constexpr double kSpreadS = 0.1;  // what a response is spread over, as far as it counts here

}  // namespace

std::vector<MeasuredBand> measured_bands(Spectra& spectra,
                                         const NoisyResponse& response,
                                         const SweepConfig& sweep) {
  const std::vector<Complex> gain = spectra.forward(response.taps);
  std::vector<double> by_time(response.taps.size());
  for (std::size_t n = 0; n < by_time.size(); ++n) {
    by_time[n] = static_cast<double>(n) / sweep.sample_rate_hz * response.taps[n];
  }
  const std::vector<Complex> moment = spectra.forward(by_time);
  std::vector<MeasuredBand> bands;
  for (int index = kFirstBand; index <= kLastBand; ++index) {
    MeasuredBand band;
    band.centre_hz = base::third_octave_centre_hz(index);
    const double upper_hz = base::third_octave_upper_hz(index);
    if (base::third_octave_lower_hz(index) < sweep.low_hz ||
        upper_hz > std::min(sweep.high_hz, 0.45 * sweep.sample_rate_hz)) {
      continue;
    }
    double power = 0.0;
    double noise_power = 0.0;
    double delay = 0.0;
    const std::size_t first = spectra.bin(base::third_octave_lower_hz(index));
    const std::size_t last = spectra.bin(upper_hz);
    for (std::size_t k = first; k <= last; ++k) {
      power += std::norm(gain[k]);
      noise_power += response.noise_power[k];
      delay += (std::conj(gain[k]) * moment[k]).real();
    }
    const auto count = static_cast<double>(last - first + 1);
    band.level_db = base::power_to_db(power / count);
    band.noise_db = base::power_to_db(noise_power / count);
    band.delay_s = power > 0.0 ? delay / power : 0.0;
    const double ratio = power > 0.0 ? std::sqrt(0.5 * noise_power / power) : 1.0;
    band.level_sd_db = std::min(kDbPerNeper * ratio, 99.0);
    band.phase_sd_deg = std::min(ratio * 180.0 / std::numbers::pi, 180.0);
    // The band's group delay averages over what stands apart by one over the response's length.
    const double width_s = 1.0 / (upper_hz - base::third_octave_lower_hz(index));
    band.delay_sd_s = ratio * std::sqrt(width_s * std::max(width_s, kSpreadS));
    bands.push_back(band);
  }
  return bands;
}

}  // namespace brink::loop
