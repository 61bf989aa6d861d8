#include "detector/standing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "detector/straight.h"

namespace brink::detector {

namespace {

constexpr std::array<int, 4> kStandingSpans{200, 135, 90, 60};  // looks, longest first
constexpr float kLeastSeenShare = 0.5F;
constexpr float kMostWobbleRad = 1.2F;
constexpr float kMostSlopeDbPerS = 12.0F;
constexpr float kMostBelowMeanDb = 4.0F;

/// Whether `other_hz` is the line at `frequency_hz` itself, or its skirt.
bool is_same_line(float other_hz, float frequency_hz) noexcept {
  return std::abs(other_hz - frequency_hz) < std::max(12.0F, 0.01F * frequency_hz);
}

bool is_whole(float ratio) noexcept {
  const float nearest = std::rint(ratio);
  return nearest >= 2.0F && nearest <= 8.0F && std::abs(ratio - nearest) < 0.004F * nearest;
}

/// What one measure says: log odds at rising points, linear between them, constant beyond.
struct StandingTable {
  std::array<float, 7> points;
  std::array<float, 7> log_odds;

  [[nodiscard]] float at(float value) const noexcept {
    std::size_t below = 0;
    while (below + 2 < points.size() && value >= points[below + 1]) {
      ++below;
    }
    const float gap = points[below + 1] - points[below];
    const float share = gap > 0.0F ? std::clamp((value - points[below]) / gap, 0.0F, 1.0F) : 0.0F;
    return log_odds[below] + share * (log_odds[below + 1] - log_odds[below]);
  }
};

#include "detector/standing_table.inc"

static_assert(kStandingTables.size() == StandingLine::kMeasures,
              "the table was fitted to other measures: fit it again");
static_assert(kLongTables.size() == LongLine::kMeasures,
              "the table was fitted to other measures: fit it again");

}  // namespace

float log_odds(const StandingLine& line) noexcept {
  float sum = kStandingPrior;
  for (std::size_t i = 0; i < line.measures.size(); ++i) {
    sum += kStandingTables[i].at(line.measures[i]);
  }
  if (!line.long_line) {
    return sum + kNoLongLine;
  }
  for (std::size_t i = 0; i < line.long_line->measures.size(); ++i) {
    sum += kLongTables[i].at(line.long_line->measures[i]);
  }
  return sum;
}

const std::array<const char*, StandingLine::kMeasures> kStandingMeasureNames{"span, log2 s",
                                                                             "slope, dB/s",
                                                                             "scatter, log10 dB",
                                                                             "wobble, log10 rad",
                                                                             "drift, log10 Hz",
                                                                             "prominence, dB",
                                                                             "seen, share",
                                                                             "fall, dB",
                                                                             "rise, dB",
                                                                             "around, log10 dB",
                                                                             "partial, dB",
                                                                             "fundamental, dB",
                                                                             "standers, log2",
                                                                             "over others, dB",
                                                                             "frequency, log2 Hz",
                                                                             "age, log2 s",
                                                                             "level, dBFS"};

Standing::Standing() {
  lines_.reserve(3 * Tracks::kMaxTracks);
}

void Standing::gather(const Scales& scales) noexcept {
  long_window_ = &scales.long_window();
  lines_.clear();
  for (const Scale& scale : scales.all()) {
    for (const Track* track : scale.tracks.live()) {
      if (track->look(0).is_peak() && track->frequency_hz >= scale.lowest_hz &&
          track->frequency_hz < scale.highest_hz) {
        lines_.push_back({track->frequency_hz, track->look(0).level_dbfs, track->seen_hops});
      }
    }
  }
}

std::optional<StandingLine> Standing::line_of(const Scale& scale,
                                              const Track& track) const noexcept {
  const auto hop_s = static_cast<float>(scale.spectrum.hop_s());
  const float to_hz = 1.0F / (2.0F * std::numbers::pi_v<float> * hop_s);
  std::array<float, kStandingSpans.front()>
      levels;  // NOLINT(cppcoreguidelines-pro-type-member-init)
  std::array<float, kStandingSpans.front()>
      phases;  // NOLINT(cppcoreguidelines-pro-type-member-init)
  for (const int looks : kStandingSpans) {
    // Half a second at the birth is the window filling up.
    if (track.history_hops() < looks + 6 || !track.look(0).is_peak()) {
      continue;
    }
    int seen = 0;
    float prominence = 0.0F;
    float around = 0.0F;
    float around_squares = 0.0F;
    float lowest = 1e9F;  // looking back: lowest after, highest after
    float highest = -1e9F;
    float fall = 0.0F;
    float rise = 0.0F;
    const float newest_phase = track.look(0).phase;
    for (int back = 0; back < looks; ++back) {
      const Track::Look& look = track.look(back);
      const auto i = static_cast<std::size_t>(back);
      levels[i] = look.level_dbfs;
      phases[i] = look.phase - newest_phase;
      lowest = std::min(lowest, look.level_dbfs);
      highest = std::max(highest, look.level_dbfs);
      fall = std::max(fall, look.level_dbfs - lowest);
      rise = std::max(rise, highest - look.level_dbfs);
      if (look.is_peak()) {
        ++seen;
        prominence += look.prominence_db;
        const float beside = look.level_dbfs - look.prominence_db;
        around += beside;
        around_squares += beside * beside;
      }
    }
    const auto total = static_cast<float>(looks);
    const auto peaks = static_cast<float>(seen);
    if (peaks < kLeastSeenShare * total) {
      continue;
    }
    const auto length = static_cast<std::size_t>(looks);
    const Straight phase = line_through_looks({phases.data(), length});
    const Straight level = line_through_looks({levels.data(), length});
    const float slope_db_per_s = level.slope / hop_s;
    if (level.mean - levels[0] > kMostBelowMeanDb) {
      continue;  // it is on its way down
    }
    if (phase.residual > kMostWobbleRad || std::abs(slope_db_per_s) > kMostSlopeDbPerS) {
      continue;
    }
    const float mean_around = around / peaks;
    const float spread =
        std::sqrt(std::max(around_squares / peaks - mean_around * mean_around, 0.0F));
    StandingLine line;
    line.looks = looks;
    line.measures = {std::log2(total * hop_s),
                     slope_db_per_s,
                     std::log10(level.residual + 0.05F),
                     std::log10(phase.residual + 0.01F),
                     std::log10(std::abs(2.0F * phase.curvature * total * to_hz) + 0.01F),
                     prominence / peaks,
                     peaks / total,
                     fall,
                     rise,
                     std::log10(spread + 0.1F),
                     -60.0F,
                     -60.0F,
                     0.0F,
                     0.0F,
                     std::log2(std::max(track.frequency_hz, 20.0F)),
                     std::log2(static_cast<float>(track.age_hops) * hop_s),
                     track.look(0).level_dbfs};
    describe_company(track, looks, line);
    line.long_line = long_window_->line_at(track.frequency_hz, track.look(0).level_dbfs);
    return line;
  }
  return std::nullopt;
}

bool Standing::fills_tap(const Track& track) const noexcept {
  constexpr float kNearFullScaleDbfs = -3.0F;
  constexpr float kSteadyDb = 1.5F;
  constexpr float kAloneDb = 12.0F;
  const float level = track.look(0).level_dbfs;
  if (level < kNearFullScaleDbfs || track.history_hops() < kFillsLooks) {
    return false;
  }
  for (int back = 0; back < kFillsLooks; ++back) {
    const Track::Look& look = track.look(back);
    if (!look.is_peak() || std::abs(look.level_dbfs - level) > kSteadyDb) {
      return false;
    }
  }
  return std::none_of(lines_.begin(), lines_.end(), [&](const Line& other) {
    return other.level_dbfs > level - kAloneDb &&
           !is_same_line(other.frequency_hz, track.frequency_hz) &&
           !is_whole(other.frequency_hz / track.frequency_hz);
  });
}

void Standing::describe_company(const Track& track, int looks, StandingLine& line) const noexcept {
  constexpr float kAlongDb = 25.0F;  // further below a line does not count as standing along
  const float frequency = track.frequency_hz;
  const float level = track.look(0).level_dbfs;
  float partial_db = -60.0F;
  float fundamental_db = -60.0F;
  float loudest_dbfs = -200.0F;
  float standers = 0.0F;
  for (const Line& other : lines_) {
    if (is_same_line(other.frequency_hz, frequency)) {
      continue;
    }
    const float over = other.level_dbfs - level;
    loudest_dbfs = std::max(loudest_dbfs, other.level_dbfs);
    standers += other.seen_hops > looks / 2 && over > -kAlongDb ? 1.0F : 0.0F;
    if (other.frequency_hz > frequency && is_whole(other.frequency_hz / frequency)) {
      partial_db = std::max(partial_db, over);
    } else if (other.frequency_hz < frequency && is_whole(frequency / other.frequency_hz)) {
      fundamental_db = std::max(fundamental_db, over);
    }
  }
  line.measures[10] = partial_db;
  line.measures[11] = fundamental_db;
  line.measures[12] = std::log2(1.0F + standers);
  line.measures[13] = level - loudest_dbfs;
}

}  // namespace brink::detector
