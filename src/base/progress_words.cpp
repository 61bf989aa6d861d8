#include "base/progress_words.h"

#include <fmt/format.h>

#include <cmath>

namespace brink::base {
namespace {

/// "40 s", "12 min": no finer than it can be known.
std::string left_words(double left_s) {
  constexpr double kLongS = 100.0;
  return left_s < kLongS ? fmt::format("{:.0f} s", std::ceil(left_s))
                         : fmt::format("{:.0f} min", std::ceil(left_s / 60.0));
}

}  // namespace

std::string progress_words(double done_ratio, double watched_s, double begun_ratio) {
  constexpr double kLeastS = 1.0;
  std::string done = fmt::format("{:.0f} %", 100.0 * done_ratio);
  if (watched_s < kLeastS || done_ratio <= begun_ratio) {
    return done;
  }
  const double left_s = watched_s * (1.0 - done_ratio) / (done_ratio - begun_ratio);
  return fmt::format("{}, about {} left", done, left_words(left_s));
}

}  // namespace brink::base
