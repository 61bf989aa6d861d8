#include "cuts/grid.h"

#include <cmath>

#include "base/units.h"
#include "cuts/filters.h"

namespace brink::cuts {

std::vector<double> even_ratio_grid(double low, double high, double steps_per_octave) {
  std::vector<double> grid;
  // A value up to a hundredth of a step beyond the end still counts.
  const auto count = static_cast<int>(std::floor(std::log2(high / low) * steps_per_octave + 0.01));
  for (int step = 0; step <= count; ++step) {
    grid.push_back(low * std::exp2(step / steps_per_octave));
  }
  return grid;
}

std::vector<double> iec_grid(int third_octaves_apart) {
  // Bands -17 (20 Hz) to 13 (20 kHz); octaves from -15 (31.5 Hz) to 12 (16 kHz).
  std::vector<double> grid;
  for (int band = third_octaves_apart == 1 ? -17 : -15; band <= 13; band += third_octaves_apart) {
    grid.push_back(base::third_octave_centre_hz(band));
  }
  return grid;
}

double graphic_band_q(int third_octaves_apart) {
  static const double third_octave_octaves = std::log2(10.0) / 10.0;  // base ten
  return bandwidth_to_q(third_octaves_apart * third_octave_octaves);
}

}  // namespace brink::cuts
