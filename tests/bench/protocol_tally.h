#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <set>

namespace brink::bench {

using Bins = std::set<std::size_t>;

/// What a detector got right and wrong, look by look, counted as in S2 (M. Mounir, G. Bernardi, T.
/// van Waterschoot, EURASIP J. Audio Speech Music Proc. 2025). The shares of an empty tally are 0.
struct Tally {
  int hits = 0;
  int misses = 0;
  int false_alarms = 0;

  void add(const Tally& other) {
    hits += other.hits;
    misses += other.misses;
    false_alarms += other.false_alarms;
  }

  /// Counts one hit when one or both of the annotated bins (`howl_bin` and the next) fire. Two
  /// wrong bins side by side count once. Without a howl every bin is wrong.
  void add_look(const Bins& fired, std::optional<std::size_t> howl_bin) {
    const auto is_right = [&](std::size_t bin) {
      return howl_bin && (bin == *howl_bin || bin == *howl_bin + 1);
    };
    if (howl_bin) {
      ++(std::any_of(fired.begin(), fired.end(), is_right) ? hits : misses);
    }
    std::optional<std::size_t> single;
    for (const std::size_t bin : fired) {
      if (is_right(bin)) {
        continue;
      }
      const bool is_second = single && *single + 1 == bin;
      false_alarms += is_second ? 0 : 1;
      single = is_second ? std::nullopt : std::optional{bin};
    }
  }

  [[nodiscard]] double precision() const { return share(hits, hits + false_alarms); }

  [[nodiscard]] double recall() const { return share(hits, hits + misses); }

  [[nodiscard]] double f1() const { return share(2 * hits, 2 * hits + misses + false_alarms); }

 private:
  static double share(int part, int whole) {
    return whole > 0 ? static_cast<double>(part) / whole : 0.0;
  }
};

}  // namespace brink::bench
