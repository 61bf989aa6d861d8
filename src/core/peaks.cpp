#include "core/peaks.h"

#include <algorithm>
#include <cmath>

#include "core/units.h"
#include "core/window.h"

namespace brink::core {

namespace {

constexpr float kNarrowRatio =
    5.0F;  // 7 dB as a power ratio: lets a line through at 7 dB over noise
constexpr float kQuietestPower =
    1e-11F;  // -110 dBFS: below, 16-bit rounding makes lines of its own

bool is_narrow_maximum(std::span<const float> power, std::size_t k) noexcept {
  const float here = power[k];
  return here > power[k - 1] && here >= power[k + 1] && here > kQuietestPower &&
         here > kNarrowRatio * std::max(power[k - 3], power[k + 3]);
}

float surrounding_power(std::span<const float> power, std::size_t k) noexcept {
  float sum = 0.0F;
  for (std::size_t distance = 3; distance <= 8; ++distance) {
    sum += power[k - distance] + power[k + distance];
  }
  return sum / 12.0F;
}

Peak measure(const Spectrum& spectrum, std::size_t k) noexcept {
  const auto power = spectrum.power();
  const float below = std::sqrt(power[k - 1]);
  const float here = std::sqrt(power[k]);
  const float above = std::sqrt(power[k + 1]);
  const float offset = 2.0F * (above - below) / (below + 2.0F * here + above);
  const float amplitude = here / hann_lobe(offset);
  const float tone_power = amplitude * amplitude;
  float unexplained = 1e-6F * tone_power;
  for (int step = -2; step <= 2; ++step) {
    const float magnitude = std::sqrt(power[static_cast<std::size_t>(static_cast<int>(k) + step)]);
    const float excess = magnitude - amplitude * hann_lobe(static_cast<float>(step) - offset);
    unexplained += excess * excess;
  }
  Peak peak;
  peak.impurity_db = 10.0F * std::log10(unexplained / tone_power);
  peak.bin = static_cast<int>(k);
  peak.frequency_hz =
      (static_cast<float>(k) + offset) * static_cast<float>(spectrum.bin_width_hz());
  peak.level_dbfs = 10.0F * std::log10(tone_power);
  peak.prominence_db = 10.0F * std::log10(tone_power / (surrounding_power(power, k) + 1e-20F));
  return peak;
}

}  // namespace

int find_peaks(const Spectrum& spectrum, PeakRange range, std::span<Peak> peaks) noexcept {
  const auto power = spectrum.power();
  std::size_t count = 0;
  for (auto k = static_cast<std::size_t>(range.lowest_bin);
       k <= static_cast<std::size_t>(range.highest_bin);
       ++k) {
    if (!is_narrow_maximum(power, k)) {
      continue;
    }
    const Peak peak = measure(spectrum, k);
    if (count < peaks.size()) {
      peaks[count++] = peak;
      continue;
    }
    // Full: the quietest goes, order by frequency stays.
    const auto quietest =
        std::min_element(peaks.begin(), peaks.end(), [](const Peak& a, const Peak& b) {
          return a.level_dbfs < b.level_dbfs;
        });
    if (quietest->level_dbfs < peak.level_dbfs) {
      std::move(quietest + 1, peaks.end(), quietest);
      peaks.back() = peak;
    }
  }
  return static_cast<int>(count);
}

}  // namespace brink::core
