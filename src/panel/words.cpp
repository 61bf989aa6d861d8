#include "panel/words.h"

#include <fmt/format.h>

#include <algorithm>
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

std::string clock_words(double seconds) {
  const auto whole = static_cast<long>(seconds);
  return fmt::format("{:02}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

}  // namespace brink::panel
