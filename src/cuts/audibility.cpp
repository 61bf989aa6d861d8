#include "cuts/audibility.h"

#include <algorithm>
#include <cmath>

namespace brink::cuts {
namespace {

constexpr double kLikeQRatio = 2.0;

}  // namespace

const char* to_word(Sound sound) noexcept {
  switch (sound) {
    case Sound::kInaudible:
      return "inaudible";
    case Sound::kMostGain:
      return "most-gain";
    case Sound::kBalanced:
      break;
  }
  return "balanced";
}

double audible_depth_db(double q) noexcept {
  return 1.5 * std::pow(q, 0.30);
}

double shared_depth_db(const Cut& cut, const Cut& other) noexcept {
  const bool is_like = other.q < kLikeQRatio * cut.q && cut.q < kLikeQRatio * other.q;
  return is_like ? -level_db(other, cut.centre_hz) : 0.0;
}

double audibility(std::span<const Cut> cuts, std::size_t index) noexcept {
  const Cut& cut = cuts[index];
  if (!(cut.q > 0.0 && cut.depth_db < 0.0)) {
    return 0.0;
  }
  double depth_db = -cut.depth_db;
  for (std::size_t other = 0; other < cuts.size(); ++other) {
    depth_db += other == index ? 0.0 : shared_depth_db(cut, cuts[other]);
  }
  return depth_db / audible_depth_db(cut.q);
}

int audible_count(const Setting& setting) noexcept {
  int count = 0;
  for (std::size_t index = 0; index < setting.cuts.size(); ++index) {
    count += audibility(setting.cuts, index) > 1.0 ? 1 : 0;
  }
  return count;
}

}  // namespace brink::cuts
