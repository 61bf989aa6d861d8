#include "listen/danger.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>

#include "cuts/propose.h"
#include "detector/limiter_products.h"

namespace brink::listen {
namespace {

/// A product is at least this much weaker than the loudest ring that it is made of: the third
/// harmonic of a square wave, the hardest limiter there is, lies 9.5 dB under its fundamental, and
/// the window's skirts take the rest. The detector takes the same.
constexpr double kProductDb = 12.0;
constexpr double kLoudDbfs = -30.0;  // below, no limiter works

struct Fold {
  std::size_t parent;  // a ring
  FoldReason reason;
};

std::int64_t end_of(const detector::Ring& ring) {
  return ring.ended_sample == detector::kNever ? std::numeric_limits<std::int64_t>::max()
                                               : ring.ended_sample;
}

bool sound_together(const FoundRing& a, const FoundRing& b) {
  return a.channel == b.channel && a.ring.onset_sample <= end_of(b.ring) &&
         b.ring.onset_sample <= end_of(a.ring);
}

/// For each ring, when the last of it and those before it ended. It rises, so that the first one
/// that still sounds at a moment is found without looking at the whole evening.
std::vector<std::int64_t> last_ends(std::span<const FoundRing> rings) {
  std::vector<std::int64_t> ends;
  for (const FoundRing& found : rings) {
    ends.push_back(std::max(end_of(found.ring), ends.empty() ? 0 : ends.back()));
  }
  return ends;
}

/// Those that sounded at the same time as ring `index` in its channel and grew louder. `ends`:
/// last_ends().
std::vector<std::size_t> louder_beside(std::span<const FoundRing> rings,
                                       std::span<const std::int64_t> ends,
                                       std::size_t index) {
  std::vector<std::size_t> louder;
  const auto first = std::lower_bound(ends.begin(), ends.end(), rings[index].ring.onset_sample);
  for (auto i = static_cast<std::size_t>(first - ends.begin()); i < rings.size(); ++i) {
    if (rings[i].ring.onset_sample > end_of(rings[index].ring)) {
      break;  // they are sorted by onset
    }
    if (rings[i].ring.peak_dbfs > rings[index].ring.peak_dbfs &&
        sound_together(rings[i], rings[index])) {
      louder.push_back(i);
    }
  }
  return louder;
}

bool is_product(std::span<const FoundRing> rings,
                std::size_t index,
                std::size_t parent,
                std::span<const std::size_t> louder) {
  const detector::Ring& ring = rings[index].ring;
  const detector::Ring& strong = rings[parent].ring;
  if (strong.peak_dbfs < kLoudDbfs || strong.peak_dbfs - ring.peak_dbfs < kProductDb) {
    return false;
  }
  if (detector::is_harmonic(ring.frequency_hz, strong.frequency_hz)) {
    return true;
  }
  return std::any_of(louder.begin(), louder.end(), [&](std::size_t other) {
    const double other_hz = rings[other].ring.frequency_hz;
    return other != parent &&
           (detector::is_intermodulation(ring.frequency_hz, strong.frequency_hz, other_hz) ||
            detector::is_intermodulation(ring.frequency_hz, other_hz, strong.frequency_hz));
  });
}

/// The loudest ring that this one is a product of; if there is none, the loudest that covers it.
std::optional<Fold> find_fold(std::span<const FoundRing> rings,
                              std::span<const std::int64_t> ends,
                              std::size_t index) {
  std::vector<std::size_t> louder = louder_beside(rings, ends, index);
  std::stable_sort(louder.begin(), louder.end(), [&](std::size_t a, std::size_t b) {
    return rings[a].ring.peak_dbfs > rings[b].ring.peak_dbfs;
  });
  const auto strong = std::find_if(louder.begin(), louder.end(), [&](std::size_t parent) {
    return is_product(rings, index, parent, louder);
  });
  if (strong != louder.end()) {
    return Fold{*strong, FoldReason::kProduct};
  }
  const bool is_covered =
      !louder.empty() &&
      rings[louder.front()].ring.peak_dbfs - rings[index].ring.peak_dbfs >= kCoveredDb;
  return is_covered ? std::optional(Fold{louder.front(), FoldReason::kCovered}) : std::nullopt;
}

/// How a place is folded as a whole: as its loudest ring is; not when one of its rings stands for
/// itself.
std::optional<Fold> find_fold(const FoundPlace& place,
                              const std::vector<std::optional<Fold>>& folds) {
  const bool is_folded = std::all_of(place.rings.begin(), place.rings.end(), [&](std::size_t ring) {
    return folds[ring].has_value();
  });
  return is_folded ? folds[place.loudest] : std::nullopt;
}

Danger rate(std::span<const FoundRing> rings, const FoundPlace& place) {
  const detector::Ring& ring = rings[place.loudest].ring;
  Danger danger;
  danger.left_db = std::max(-ring.peak_dbfs, 0.0);
  danger.growth_db_per_s =
      std::max(cuts::trusted_growth(ring.growth_db_per_s, ring.confidence), 0.0);
  danger.times = static_cast<int>(place.rings.size());
  danger.rank_db = std::min(ring.peak_dbfs + kReactionS * danger.growth_db_per_s, 0.0) +
                   10.0 * std::log10(static_cast<double>(danger.times));
  return danger;
}

/// In the order of the recording, whatever the order of the rows.
std::vector<std::size_t> rings_of(std::span<const PlaceRow> rows) {
  std::vector<std::size_t> rings;
  for (const PlaceRow& row : rows) {
    rings.insert(rings.end(), row.place.rings.begin(), row.place.rings.end());
  }
  std::sort(rings.begin(), rings.end());
  return rings;
}

}  // namespace

const char* to_word(FoldReason reason) noexcept {
  return reason == FoldReason::kProduct ? "product" : "covered";
}

std::vector<PlaceRow> to_rows(std::span<const FoundRing> rings, RowOrder order) {
  const std::vector<FoundPlace> places = by_place(rings);
  const std::vector<std::int64_t> ends = last_ends(rings);
  std::vector<std::optional<Fold>> of_ring(rings.size());
  std::vector<std::size_t> place_of(rings.size());
  for (std::size_t p = 0; p < places.size(); ++p) {
    for (const std::size_t ring : places[p].rings) {
      place_of[ring] = p;
      of_ring[ring] = find_fold(rings, ends, ring);
    }
  }
  std::vector<std::optional<Fold>> of_place;
  std::vector<std::optional<std::size_t>> row_of(places.size());
  std::vector<PlaceRow> rows;
  for (std::size_t p = 0; p < places.size(); ++p) {
    of_place.push_back(find_fold(places[p], of_ring));
    if (!of_place[p]) {
      row_of[p] = rows.size();
      rows.push_back({places[p], rate(rings, places[p]), {}});
    }
  }
  for (std::size_t p = 0; p < places.size(); ++p) {
    std::size_t top = p;
    while (of_place[top]) {
      top = place_of[of_place[top]->parent];  // each step is louder, so it ends
    }
    if (top != p) {
      rows[*row_of[top]].folded.push_back({places[p], of_place[p]->reason});
    }
  }
  if (order == RowOrder::kDanger) {
    std::stable_sort(rows.begin(), rows.end(), [](const PlaceRow& a, const PlaceRow& b) {
      return a.danger.rank_db > b.danger.rank_db;
    });
  }
  return rows;
}

Analysis only_rows(const Analysis& analysis, std::span<const PlaceRow> rows) {
  Analysis part = analysis;
  part.rings.clear();
  part.cuts.clear();
  for (const std::size_t i : rings_of(rows)) {
    part.rings.push_back(analysis.rings[i]);
  }
  return part;
}

std::vector<cuts::SharedCut> shared_cuts(const Analysis& analysis, std::span<const PlaceRow> rows) {
  const std::vector<std::size_t> rings = rings_of(rows);
  std::vector<cuts::RingMeasurement> measurements;
  measurements.reserve(rings.size());
  for (const std::size_t ring : rings) {
    measurements.push_back(to_measurement(analysis.rings[ring], analysis));
  }
  std::vector<cuts::SharedCut> shared = cuts::share_cuts(measurements);
  for (cuts::SharedCut& cut : shared) {
    for (int& index : cut.for_rings) {
      index = static_cast<int>(rings[static_cast<std::size_t>(index)]);
    }
  }
  return shared;
}

}  // namespace brink::listen
