#include "detector/peaks.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

#include "base/units.h"
#include "base/window.h"

namespace brink::detector {

namespace {

constexpr int kMarginBins = 8;  // surrounding_power reaches so far
// 9 dB as a power ratio: few maxima of noise stand so far over both sides.
constexpr float kNarrowRatio = 8.0F;
constexpr float kQuietestPower =
    1e-11F;  // -110 dBFS: below, 16-bit rounding makes lines of its own

float surrounding_power(std::span<const float> power, std::size_t k) noexcept {
  float sum = 0.0F;
  for (std::size_t distance = 3; distance <= 8; ++distance) {
    sum += power[k - distance] + power[k + distance];
  }
  return sum / 12.0F;
}

Peak measure(const Spectrum& spectrum, std::size_t k) noexcept {
  const auto power = spectrum.power();
  std::array<float, 5> magnitudes{};
  for (std::size_t i = 0; i < magnitudes.size(); ++i) {
    magnitudes[i] = std::sqrt(power[k - 2 + i]);
  }
  const float below = magnitudes[1];
  const float here = magnitudes[2];
  const float above = magnitudes[3];
  const float offset = 2.0F * (above - below) / (below + 2.0F * here + above);
  const std::array<float, 5> lobes = base::hann_lobes_around(offset);
  const float amplitude = here / lobes[2];
  const float tone_power = amplitude * amplitude;
  float unexplained = 1e-6F * tone_power;
  for (std::size_t i = 0; i < magnitudes.size(); ++i) {
    const float excess = magnitudes[i] - amplitude * lobes[i];
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

/// Adds `peak`, which lies above the others. When there is no room the quietest goes.
std::size_t keep(const Peak& peak, std::span<Peak> peaks, std::size_t count) noexcept {
  if (count < peaks.size()) {
    peaks[count] = peak;
    return count + 1;
  }
  const auto quietest =
      std::min_element(peaks.begin(), peaks.end(), [](const Peak& a, const Peak& b) {
        return a.level_dbfs < b.level_dbfs;
      });
  if (quietest->level_dbfs < peak.level_dbfs) {
    std::move(quietest + 1, peaks.end(), quietest);
    peaks.back() = peak;
  }
  return count;
}

}  // namespace

PeakFinder::PeakFinder(PeakRange range, int bin_count)
    : lowest_{static_cast<std::size_t>(std::max(range.lowest_bin, kMarginBins))},
      highest_{static_cast<std::size_t>(std::min(range.highest_bin, bin_count - 1 - kMarginBins))},
      is_maximum_(static_cast<std::size_t>(bin_count) + sizeof(std::uint64_t)) {}

std::size_t PeakFinder::find(const Spectrum& spectrum, std::span<Peak> peaks) noexcept {
  const float* const power = spectrum.power().data();
  // A pass without branches, which the compiler turns into vector code, then only the hits. A byte
  // that is written might lie anywhere, also in this object: what the pass needs of it is local.
  std::uint8_t* const is_maximum = is_maximum_.data();
  const std::size_t highest = highest_;
  for (std::size_t k = lowest_; k <= highest; ++k) {
    const float here = power[k];
    const float skirt = std::max(power[k - 3], power[k + 3]);
    is_maximum[k] =
        static_cast<std::uint8_t>((here > power[k - 1]) & (here >= power[k + 1]) &
                                  (here > kQuietestPower) & (here > kNarrowRatio * skirt));
  }
  std::size_t count = 0;
  for (std::size_t first = lowest_; first <= highest_; first += sizeof(std::uint64_t)) {
    std::uint64_t any = 0;
    std::memcpy(&any, &is_maximum_[first], sizeof any);
    if (any == 0) {
      continue;
    }
    for (std::size_t k = first; k < first + sizeof any && k <= highest_; ++k) {
      if (is_maximum_[k] != 0) {
        count = keep(measure(spectrum, k), peaks, count);
      }
    }
  }
  return count;
}

}  // namespace brink::detector
