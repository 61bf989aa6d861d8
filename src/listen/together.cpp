#include "listen/together.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

namespace brink::listen {
namespace {

constexpr double kCellsPerOctave = 70.0;  // 1 %
constexpr std::size_t kCells = 840;       // twelve octaves from kLowestHz on
constexpr double kLowestHz = 10.0;

std::size_t cell_of(double frequency_hz) noexcept {
  const double cell = kCellsPerOctave * std::log2(std::max(frequency_hz, kLowestHz) / kLowestHz);
  return std::min(static_cast<std::size_t>(cell), kCells - 1);
}

void join_levels(std::span<const TapSnapshot> taps, InputLevel& level) noexcept {
  level = taps.front().level;
  for (const TapSnapshot& tap : taps.subspan(1)) {
    level.peak_dbfs = std::max(level.peak_dbfs, tap.level.peak_dbfs);
    level.rms_dbfs = std::max(level.rms_dbfs, tap.level.rms_dbfs);
    level.is_clipping = level.is_clipping || tap.level.is_clipping;
    level.is_too_quiet = level.is_too_quiet && tap.level.is_too_quiet;
    level.is_silent = level.is_silent && tap.level.is_silent;
  }
}

/// A track of tap number `index` among `count`, with an id that no other tap's track has.
detector::TrackView renamed(detector::TrackView track, std::size_t index, std::size_t count) {
  track.track_id = track.track_id * count + index;
  return track;
}

bool is_louder(const detector::TrackView& one, const detector::TrackView& other) noexcept {
  return one.level_dbfs > other.level_dbfs;
}

/// One track for each ring, from the tap that has it loudest.
void join_rings(std::span<const TapSnapshot> taps, std::vector<detector::TrackView>& tracks) {
  for (std::size_t t = 0; t < taps.size(); ++t) {
    for (const detector::TrackView& track : taps[t].tracks) {
      if (track.ring_id == 0) {
        continue;
      }
      const detector::TrackView line = renamed(track, t, taps.size());
      const auto same = std::find_if(tracks.begin(), tracks.end(), [&](const auto& other) {
        return other.ring_id == line.ring_id;
      });
      if (same == tracks.end()) {
        tracks.push_back(line);
      } else if (is_louder(line, *same)) {
        *same = line;
      }
    }
  }
}

constexpr int kFree = -1;
constexpr int kRings = -2;

/// By which track each cell of the map is held: by rings, or by none yet.
std::array<int, kCells> cells_beside(std::span<const detector::TrackView> rings) {
  std::array<int, kCells> held{};
  held.fill(kFree);
  for (const detector::TrackView& ring : rings) {
    const std::size_t cell = cell_of(ring.frequency_hz);
    for (std::size_t i = cell == 0 ? 0 : cell - 1; i < std::min(cell + 2, kCells); ++i) {
      held[i] = kRings;
    }
  }
  return held;
}

/// One track for each cell of the map that no ring has, from the tap that has it loudest. The rings
/// are in `tracks`.
void join_lines(std::span<const TapSnapshot> taps, std::vector<detector::TrackView>& tracks) {
  std::array<int, kCells> held = cells_beside(tracks);  // by which of `tracks`
  for (std::size_t t = 0; t < taps.size(); ++t) {
    for (const detector::TrackView& track : taps[t].tracks) {
      int& holder = held[cell_of(track.frequency_hz)];
      if (track.ring_id != 0 || holder == kRings) {
        continue;
      }
      const detector::TrackView line = renamed(track, t, taps.size());
      if (holder == kFree) {
        holder = static_cast<int>(tracks.size());
        tracks.push_back(line);
      } else if (is_louder(line, tracks[static_cast<std::size_t>(holder)])) {
        tracks[static_cast<std::size_t>(holder)] = line;
      }
    }
  }
}

/// Whether `one` expects a ring, and sooner than `other`.
bool is_sooner(const Forecast& one, const Forecast& other) noexcept {
  return !one.places.empty() &&
         (other.places.empty() || one.places.front().left_db < other.places.front().left_db);
}

}  // namespace

void put_together(std::span<const TapSnapshot> taps, TapSnapshot& together) {
  together.tap = 0;
  together.counts = {};
  for (const TapSnapshot& tap : taps) {
    together.counts.samples = std::max(together.counts.samples, tap.counts.samples);
    together.counts.non_finite += tap.counts.non_finite;
    together.counts.clipped += tap.counts.clipped;
  }
  join_levels(taps, together.level);
  together.tracks.clear();
  join_rings(taps, together.tracks);
  join_lines(taps, together.tracks);
  together.sound.reset();
  for (const TapSnapshot& tap : taps) {
    const bool is_louder_one =
        tap.sound && (!together.sound || tap.sound->one_second_db > together.sound->one_second_db);
    together.sound = is_louder_one ? tap.sound : together.sound;
  }
  const TapSnapshot* soonest = &taps.front();
  for (const TapSnapshot& tap : taps.subspan(1)) {
    soonest = is_sooner(tap.forecast, soonest->forecast) ? &tap : soonest;
  }
  together.forecast = soonest->forecast;
}

}  // namespace brink::listen
