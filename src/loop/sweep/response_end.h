#pragma once

#include <complex>
#include <span>
#include <vector>

#include "loop/sweep/spectra.h"

namespace brink::loop {

/// A measured impulse response, and the power of what in it is not the loop's, for each bin of its
/// transform.
struct NoisyResponse {
  std::vector<double> taps;
  std::vector<double> noise_power;
};

/// Ends a response, octave by octave, where it sinks into its noise, and the
/// noise with it: after J. Lundeby, T. E. Vigran, H. Bietz, M. Vorlaender, "Uncertainties of
/// measurements in room acoustics", Acustica 81, 344-355, 1995, which finds that point (from
/// memory).
[[nodiscard]] NoisyResponse end_in_noise(Spectra& spectra,
                                         std::span<const std::complex<double>> response,
                                         std::span<const double> noise,
                                         double sample_rate_hz);

}  // namespace brink::loop
