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

constexpr std::array<const char*, StandingLine::kMeasures> kStandingMeasureNames{
    "span, log2 s",
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

/// What a track did over its newest looks.
struct Course {
  std::array<float, kStandingSpans.front()> levels{};  ///< newest first
  std::array<float, kStandingSpans.front()> phases{};
  float peaks = 0.0F;  ///< looks with one
  float prominence_db = 0.0F;
  float around_spread_db = 0.0F;  ///< of what is beside it
  float fall_db = 0.0F;           ///< the furthest that it went down, and up
  float rise_db = 0.0F;
};

Course course_of(const Track& track, int looks) noexcept {
  Course course;
  float around = 0.0F;
  float around_squares = 0.0F;
  float lowest = 1e9F;  // looking back: lowest after, highest after
  float highest = -1e9F;
  for (int back = 0; back < looks; ++back) {
    const Track::Look& look = track.look(back);
    const auto i = static_cast<std::size_t>(back);
    course.levels[i] = look.level_dbfs;
    course.phases[i] = look.phase - track.look(0).phase;
    lowest = std::min(lowest, look.level_dbfs);
    highest = std::max(highest, look.level_dbfs);
    course.fall_db = std::max(course.fall_db, look.level_dbfs - lowest);
    course.rise_db = std::max(course.rise_db, highest - look.level_dbfs);
    if (look.is_peak()) {
      course.peaks += 1.0F;
      course.prominence_db += look.prominence_db;
      const float beside = look.level_dbfs - look.prominence_db;
      around += beside;
      around_squares += beside * beside;
    }
  }
  if (course.peaks > 0.0F) {
    course.prominence_db /= course.peaks;
    const float mean_around = around / course.peaks;
    course.around_spread_db =
        std::sqrt(std::max(around_squares / course.peaks - mean_around * mean_around, 0.0F));
  }
  return course;
}

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

std::span<const char* const, StandingLine::kMeasures> standing_measure_names() noexcept {
  return kStandingMeasureNames;
}

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
  constexpr int kFillingLooks = 6;  // at the birth the window is filling up
  for (const int looks : kStandingSpans) {
    if (track.history_hops() >= looks + kFillingLooks && track.look(0).is_peak()) {
      if (const auto line = line_over(scale, track, looks)) {
        return line;
      }
    }
  }
  return std::nullopt;
}

std::optional<StandingLine> Standing::line_over(const Scale& scale,
                                                const Track& track,
                                                int looks) const noexcept {
  const auto hop_s = static_cast<float>(scale.spectrum.hop_s());
  const float to_hz = 1.0F / (2.0F * std::numbers::pi_v<float> * hop_s);
  const auto total = static_cast<float>(looks);
  const auto length = static_cast<std::size_t>(looks);
  const Course course = course_of(track, looks);
  if (course.peaks < kLeastSeenShare * total) {
    return std::nullopt;
  }
  const Straight phase = line_through_looks({course.phases.data(), length});
  const Straight level = line_through_looks({course.levels.data(), length});
  const float slope_db_per_s = level.slope / hop_s;
  const bool is_on_its_way_down = level.mean - course.levels[0] > kMostBelowMeanDb;
  if (is_on_its_way_down || phase.residual > kMostWobbleRad ||
      std::abs(slope_db_per_s) > kMostSlopeDbPerS) {
    return std::nullopt;
  }
  StandingLine line;
  line.looks = looks;
  line.measures = {std::log2(total * hop_s),
                   slope_db_per_s,
                   std::log10(level.residual + 0.05F),
                   std::log10(phase.residual + 0.01F),
                   std::log10(std::abs(2.0F * phase.curvature * total * to_hz) + 0.01F),
                   course.prominence_db,
                   course.peaks / total,
                   course.fall_db,
                   course.rise_db,
                   std::log10(course.around_spread_db + 0.1F),
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
