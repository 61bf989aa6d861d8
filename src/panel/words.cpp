#include "panel/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "core/units.h"

namespace brink::panel {

std::string cut_words(std::span<const cuts::Cut> cuts) {
  if (cuts.empty()) {
    return "the target has no band there";
  }
  std::string words;
  for (const cuts::Cut& cut : cuts) {
    words += fmt::format("{}{}  Q {:.2g}  {:.1f} dB",
                         words.empty() ? "cut " : "  and ",
                         core::frequency_label(cut.centre_hz),
                         cut.q,
                         cut.depth_db);
  }
  return words;
}

std::string growth_words(double growth_db_per_s) {
  return std::abs(growth_db_per_s) < 9.95 ? fmt::format("{:+.1f} dB/s", growth_db_per_s)
                                          : fmt::format("{:+.0f} dB/s", growth_db_per_s);
}

std::string place_words(double seconds) {
  const long tenths = std::lround(std::max(seconds, 0.0) * 10.0);
  const long minutes = tenths / 600;
  const std::string rest = fmt::format("{:02}.{}", tenths / 10 % 60, tenths % 10);
  return minutes < 60 ? fmt::format("{}:{}", minutes, rest)
                      : fmt::format("{}:{:02}:{}", minutes / 60, minutes % 60, rest);
}

std::string band_name(int band) {
  constexpr int kFirstBand = -13;
  static constexpr std::array<const char*, 26> kNames{
      "50",    "63",  "80",  "100",  "125", "160",   "200",   "250", "315",
      "400",   "500", "630", "800",  "1k",  "1.25k", "1.6k",  "2k",  "2.5k",
      "3.15k", "4k",  "5k",  "6.3k", "8k",  "10k",   "12.5k", "16k"};
  const int place = band - kFirstBand;
  if (place < 0 || place >= static_cast<int>(kNames.size())) {
    return core::frequency_label(core::third_octave_centre_hz(band));
  }
  return kNames.at(static_cast<std::size_t>(place));
}

std::string clock_words(double seconds) {
  const auto whole = static_cast<long>(seconds);
  return fmt::format("{:02}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

}  // namespace brink::panel
