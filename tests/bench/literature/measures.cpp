#include "bench/literature/measures.h"

#include <algorithm>
#include <cmath>

namespace brink::bench {

double to_db(double power) noexcept {
  return power > 1e-20 ? 10.0 * std::log10(power) : kFloorDb;
}

double papr_db(std::span<const float> power, std::size_t bin, int size_samples) {
  double sum = 0.0;
  for (std::size_t k = 0; k < power.size(); ++k) {
    const bool is_single = k == 0 || k + 1 == power.size();  // 0 Hz and half the rate
    sum += (is_single ? 1.0 : 2.0) * static_cast<double>(power[k]);
  }
  return to_db(static_cast<double>(power[bin])) - to_db(sum / size_samples);
}

double phpr_db(std::span<const float> power, std::size_t bin, double multiple) {
  const auto other = static_cast<std::size_t>(std::lround(multiple * static_cast<double>(bin)));
  if (other >= power.size()) {
    return -kFloorDb;
  }
  return to_db(static_cast<double>(power[bin])) - to_db(static_cast<double>(power[other]));
}

double sides_above_neighbours(std::span<const float> power, std::size_t bin) {
  constexpr std::size_t kNearest = 2;
  constexpr std::size_t kFarthest = 7;
  constexpr double kThresholdDb = 15.0;
  const double here_db = to_db(static_cast<double>(power[bin]));
  double below_db = 0.0;
  double above_db = 0.0;
  for (std::size_t m = kNearest; m <= kFarthest; ++m) {
    below_db += here_db - (bin >= m ? to_db(static_cast<double>(power[bin - m])) : here_db);
    above_db +=
        here_db - (bin + m < power.size() ? to_db(static_cast<double>(power[bin + m])) : here_db);
  }
  constexpr double kCount = kFarthest - kNearest + 1;
  return 0.5 * (below_db / kCount >= kThresholdDb) + 0.5 * (above_db / kCount >= kThresholdDb);
}

namespace {

/// Mean over j < m of the slope from look m back to look j back.
double mean_slope_to(std::span<const double> levels_db, std::size_t m) {
  double sum = 0.0;
  for (std::size_t j = 0; j < m; ++j) {
    sum += (levels_db[j] - levels_db[m]) / static_cast<double>(m - j);
  }
  return sum / static_cast<double>(m);
}

}  // namespace

double imsd_db(std::span<const double> levels_db) {
  const std::size_t q = levels_db.size() - 1;
  const double whole = mean_slope_to(levels_db, q);
  double sum = 0.0;
  for (std::size_t m = 1; m < q; ++m) {
    sum += whole - mean_slope_to(levels_db, m);
  }
  return sum / static_cast<double>(q - 1);
}

double fep(double imsd, double peakness) {
  return 0.7 * std::exp(-std::abs(imsd)) + 0.3 * peakness;
}

double ninos2_t(std::span<const float> values) {
  double squares = 0.0;
  double fourths = 0.0;
  for (const float value : values) {
    const double square = static_cast<double>(value) * static_cast<double>(value);
    squares += square;
    fourths += square * square;
  }
  if (fourths <= 0.0) {
    return 0.0;
  }
  const double norm_ratio = std::sqrt(squares) / std::pow(fourths, 0.25);
  return (norm_ratio - 1.0) / (std::pow(static_cast<double>(values.size()), 0.25) - 1.0);
}

std::vector<std::size_t> largest_peaks(std::span<const float> power,
                                       std::size_t lowest_bin,
                                       std::size_t count) {
  std::vector<std::size_t> peaks;
  for (std::size_t k = std::max<std::size_t>(lowest_bin, 1); k + 1 < power.size(); ++k) {
    if (power[k] > power[k - 1] && power[k] >= power[k + 1]) {
      peaks.push_back(k);
    }
  }
  const std::size_t kept = std::min(count, peaks.size());
  std::partial_sort(peaks.begin(),
                    peaks.begin() + static_cast<std::ptrdiff_t>(kept),
                    peaks.end(),
                    [power](std::size_t a, std::size_t b) { return power[a] > power[b]; });
  peaks.resize(kept);
  return peaks;
}

double three_bin_position(std::span<const float> power, std::size_t bin) {
  const double below = std::sqrt(static_cast<double>(power[bin - 1]));
  const double here = std::sqrt(static_cast<double>(power[bin]));
  const double above = std::sqrt(static_cast<double>(power[bin + 1]));
  const double sum = below + here + above;
  return static_cast<double>(bin) + (sum > 0.0 ? (above - below) / sum : 0.0);
}

}  // namespace brink::bench
