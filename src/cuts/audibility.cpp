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

double dip_depth_db(std::span<const Cut> cuts, std::size_t index) noexcept {
  const Cut& cut = cuts[index];
  if (!(cut.q > 0.0 && cut.depth_db < 0.0)) {
    return 0.0;
  }
  double depth_db = -cut.depth_db;
  for (std::size_t other = 0; other < cuts.size(); ++other) {
    depth_db += other == index ? 0.0 : shared_depth_db(cut, cuts[other]);
  }
  return depth_db;
}

double audibility(std::span<const Cut> cuts, std::size_t index) noexcept {
  const double depth_db = dip_depth_db(cuts, index);
  return depth_db > 0.0 ? depth_db / audible_depth_db(cuts[index].q) : 0.0;
}

HeardCuts heard_cuts(const Setting& setting) noexcept {
  HeardCuts heard;
  for (std::size_t index = 0; index < setting.cuts.size(); ++index) {
    if (const double depth_db = dip_depth_db(setting.cuts, index); depth_db > 0.0) {
      heard.add(depth_db, setting.cuts[index].q);
    }
  }
  return heard;
}

}  // namespace brink::cuts
