#include "show/band_changes.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "show/cut_words.h"

namespace brink::show {

std::vector<BandChange> band_changes(std::span<const cuts::Band> before,
                                     std::span<const cuts::Band> after) {
  constexpr double kFarOctaves = 1.0 / 3.0;  // beyond, one is taken out and another one is new
  std::vector<cuts::Band> was(before.begin(), before.end());
  std::vector<cuts::Band> now(after.begin(), after.end());
  std::erase_if(now, [&](const cuts::Band& cut) {
    const auto same = std::find(was.begin(), was.end(), cut);
    const bool stays = same != was.end();
    if (stays) {
      was.erase(same);
    }
    return stays;
  });
  std::vector<BandChange> changes;
  const auto distance = [](const cuts::Band& a, const cuts::Band& b) {
    return cuts::is_high_pass(a) == cuts::is_high_pass(b)
               ? std::abs(std::log2(a.centre_hz / b.centre_hz))
               : 1e9;
  };
  while (!now.empty() && !was.empty()) {
    std::size_t best_now = 0;
    std::size_t best_was = 0;
    for (std::size_t i = 0; i < now.size(); ++i) {
      for (std::size_t j = 0; j < was.size(); ++j) {
        if (distance(now[i], was[j]) < distance(now[best_now], was[best_was])) {
          best_now = i;
          best_was = j;
        }
      }
    }
    if (distance(now[best_now], was[best_was]) > kFarOctaves) {
      break;
    }
    changes.push_back({was[best_was], now[best_now]});
    now.erase(now.begin() + static_cast<std::ptrdiff_t>(best_now));
    was.erase(was.begin() + static_cast<std::ptrdiff_t>(best_was));
  }
  for (const cuts::Band& cut : now) {
    changes.push_back({std::nullopt, cut});
  }
  for (const cuts::Band& cut : was) {
    changes.push_back({cut, std::nullopt});
  }
  std::stable_sort(changes.begin(), changes.end(), [](const BandChange& a, const BandChange& b) {
    return (a.now ? *a.now : *a.was).centre_hz < (b.now ? *b.now : *b.was).centre_hz;
  });
  return changes;
}

std::string change_words(const BandChange& change, cuts::Target::Kind kind) {
  if (!change.now) {
    return cut_words(*change.was, kind) + ", taken out";
  }
  const std::string now = cut_words(*change.now, kind);
  if (!change.was) {
    return now + ", new";
  }
  const bool is_same_place =
      change.was->centre_hz == change.now->centre_hz && change.was->q == change.now->q;
  return now + ", was " +
         (is_same_place && !cuts::is_high_pass(*change.now)
              ? fmt::format("{:.1f} dB", change.was->depth_db)
              : cut_words(*change.was, kind));
}

}  // namespace brink::show
