#include "panel/draw/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "show/cut_record.h"

namespace brink::panel {
namespace {

constexpr double kShownDbPerS = 0.05;  // below this it reads 0.0

}  // namespace

std::string cut_words(std::span<const cuts::Cut> cuts, cuts::Target::Kind kind) {
  if (cuts.empty()) {
    return "the target has no band there";
  }
  std::string words;
  for (const cuts::Cut& cut : cuts) {
    words += (words.empty() ? "cut " : "  and ") + show::cut_words(show::to_record(cut), kind);
  }
  return words;
}

std::string growth_words(double growth_db_per_s) {
  if (std::abs(growth_db_per_s) < kShownDbPerS) {
    return "0.0 dB/s";
  }
  return std::abs(growth_db_per_s) < 9.95 ? fmt::format("{:+.1f} dB/s", growth_db_per_s)
                                          : fmt::format("{:+.0f} dB/s", growth_db_per_s);
}

std::string growth_words(detector::RingState state, double growth_db_per_s) {
  constexpr double kSteadyDbPerS = 1.0;  // nobody hears a change of so little within a second
  const bool is_fading = state == detector::RingState::kFading;
  if (state == detector::RingState::kGone) {
    return {};
  }
  if (is_fading ? growth_db_per_s <= -kShownDbPerS : growth_db_per_s >= kShownDbPerS) {
    return growth_words(growth_db_per_s);
  }
  return std::abs(growth_db_per_s) < kSteadyDbPerS ? "steady" : is_fading ? "rising" : "falling";
}

std::string place_words(double seconds) {
  const long tenths = std::lround(std::max(seconds, 0.0) * 10.0);
  const long minutes = tenths / 600;
  const std::string rest = fmt::format("{:02}.{}", tenths / 10 % 60, tenths % 10);
  return minutes < 60 ? fmt::format("{}:{}", minutes, rest)
                      : fmt::format("{}:{:02}:{}", minutes / 60, minutes % 60, rest);
}

std::string band_name(int band) {
  const std::string name = base::third_octave_name(band);
  const std::string number = name.substr(0, name.find(' '));
  return name.ends_with("kHz") ? number + "k" : number;
}

std::string clock_words(double seconds) {
  const auto whole = static_cast<long>(seconds);
  return fmt::format("{:02}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

}  // namespace brink::panel
