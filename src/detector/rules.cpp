#include "detector/rules.h"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace brink::detector {

namespace {

/// Level and phase scatter by this much when only noise `prominence_db` below moves the line:
/// 20 log10(1 + x) is 8.7 x, and half of the noise power lies along the tone.
float scatter_of_noise_db(const Measures& line) noexcept {
  return 6.1F * std::pow(10.0F, -std::min(line.prominence_db, 60.0F) / 20.0F);
}

/// The rise, never so small that a ratio to it explodes.
float rise_of(const Measures& line) noexcept {
  return std::max(line.rise_db, 3.0F);
}

constexpr std::array<Rule, kRuleCount> kRules{{
    {"scatter over noise",
     "log10",
     "a ring leaves its straight line no more than the noise around it explains",
     [](const Measures& m) noexcept {
       return std::log10((m.residual_db + 0.05F) / std::hypot(0.25F, scatter_of_noise_db(m)));
     }},
    {"scatter",
     "log10 dB",
     "the level of a ring is a straight line in dB; notes waver and bend",
     [](const Measures& m) noexcept { return std::log10(m.residual_db + 0.05F); }},
    {"rise over scatter",
     "log10",
     "growth well beyond the scatter is not chance",
     [](const Measures& m) noexcept { return std::log10(rise_of(m) / (m.residual_db + 0.2F)); }},
    {"wobble",
     "log10 rad",
     "a ring is one pure line: its phase is a straight line too; voices and strings wobble",
     [](const Measures& m) noexcept { return std::log10(m.wobble_rad + 0.005F); }},
    {"span",
     "log2 s",
     "the longer a line stays straight, the less programme can have made it",
     [](const Measures& m) noexcept { return std::log2(m.span_s); }},
    {"growth",
     "log2 dB/s",
     "excess gain over loop delay: a few to some hundred dB/s; attacks are faster",
     [](const Measures& m) noexcept { return std::log2(std::max(m.rise_db / m.span_s, 1.0F)); }},
    {"bow",
     "share of rise",
     "attacks and beats bend, a ring does not until it limits",
     [](const Measures& m) noexcept { return m.bow_db / rise_of(m); }},
    {"largest step",
     "share of rise",
     "a note gets its level in one step, a ring bit by bit",
     [](const Measures& m) noexcept { return m.step_db / rise_of(m); }},
    {"lean",
     "share of rise",
     "a ring rises evenly, or faster while the fader still goes up; a note rises first and levels "
     "off",
     [](const Measures& m) noexcept { return m.lean_db / rise_of(m); }},
    {"held",
     "s",
     "at the limiter a ring stays where it got to; a note has begun to fall",
     [](const Measures& m) noexcept { return m.held_s; }},
    {"drift",
     "log10 Hz",
     "the loop holds the frequency; voices and slides do not",
     [](const Measures& m) noexcept { return std::log10(std::abs(m.drift_hz) + 0.02F); }},
    {"risers",
     "log2 lines",
     "a ring grows alone or with a few others; a chord or a swell rises in many lines at once",
     [](const Measures& m) noexcept { return std::log2(1.0F + m.risers); }},
    {"line at a fraction",
     "dB",
     "a louder line at a whole fraction makes it a partial of a note or a harmonic of a saturated "
     "ring",
     [](const Measures& m) noexcept { return m.fundamental_db; }},
    {"line at a multiple",
     "dB",
     "strong partials above make it the fundamental of a note; a ring has none until it limits",
     [](const Measures& m) noexcept { return m.partial_db; }},
    {"rise at a multiple",
     "share of rise",
     "partials of a note rise with it",
     [](const Measures& m) noexcept {
       constexpr float kNoPartial = -59.0F;
       return m.partial_db > kNoPartial ? std::clamp(m.partial_rise_db / rise_of(m), -1.0F, 2.0F)
                                        : -1.0F;
     }},
    {"share of band",
     "dB",
     "a ring takes over its third-octave",
     [](const Measures& m) noexcept { return m.band_share_db; }},
    {"rise of everything",
     "dB",
     "when the whole programme rises, a rising line is part of it",
     [](const Measures& m) noexcept { return m.total_rise_db; }},
    {"rise of everything",
     "share of rise",
     "when the whole programme rises as much, the line tells nothing",
     [](const Measures& m) noexcept { return m.total_rise_db / rise_of(m); }},
    {"prominence",
     "dB",
     "a pure line stands far out of what is beside it",
     [](const Measures& m) noexcept { return m.prominence_db; }},
    {"impurity",
     "dB",
     "what the lobe of a pure tone cannot explain is programme, noise or modulation",
     [](const Measures& m) noexcept { return m.impurity_db; }},
    {"seen",
     "share of looks",
     "a ring is there in every look; a gap needs a reason",
     [](const Measures& m) noexcept { return m.seen_share; }},
    {"level",
     "dBFS",
     "a quiet line on a quiet stage can only be the loop; near full scale programme is common",
     [](const Measures& m) noexcept { return m.level_dbfs; }},
    {"age",
     "log2 s",
     "notes end; what stays is hum, a drone or a ring",
     [](const Measures& m) noexcept { return std::log2(m.age_s); }},
    {"rise since birth",
     "dB",
     "a note is born near its level, a ring far below",
     [](const Measures& m) noexcept { return m.since_birth_db; }},
    {"frequency",
     "log2 Hz",
     "howling lies between about 200 and 5000 Hz (S. Braun, IEM Graz, 2012); hum and bass lie "
     "below",
     [](const Measures& m) noexcept { return std::log2(std::max(m.frequency_hz, 20.0F)); }},
    {"rise",
     "log2 dB",
     "a ring rises as far as it likes in one straight line; a note has only its own range",
     [](const Measures& m) noexcept { return std::log2(rise_of(m)); }},
    {"born along",
     "log2 lines",
     "the partials of a note and the notes of a chord begin together",
     [](const Measures& m) noexcept { return std::log2(1.0F + m.born_along); }},
    {"neighbours",
     "log2 lines",
     "where many tones stand side by side, one more is likely to be of their kind",
     [](const Measures& m) noexcept { return std::log2(1.0F + m.neighbours); }},
    {"in tune",
     "share",
     "instruments are tuned to each other; where a loop rings hangs on the room",
     [](const Measures& m) noexcept { return m.in_tune; }},
}};

/// A rule's fitted numbers: which rule it is, the points of its measure, and log odds by loudness
/// and point and by pitch and point.
struct Weights {
  std::string_view name, unit;
  std::array<float, kRulePoints> points;
  std::array<std::array<float, kRulePoints>, kLoudnessPoints> by_loudness;
  std::array<std::array<float, kRulePoints>, kPitchPoints> by_pitch;
};

#include "detector/evidence_table.inc"

/// A rule that measures something else has another name or unit, so that this tells.
constexpr bool is_fitted_to_these_rules() noexcept {
  for (std::size_t i = 0; i < kWeights.size(); ++i) {
    if (kWeights[i].name != kRules[i].name || kWeights[i].unit != kRules[i].unit) {
      return false;
    }
  }
  return kWeights.size() == kRules.size();
}

static_assert(is_fitted_to_these_rules(),
              "the table was fitted to other rules: fit it again (tests/bench/evidence/fit.py)");

/// Where `value` lies among rising `points`: the point below and the share of the way to the next.
template <std::size_t count>
struct Place {
  std::size_t below = 0;
  float share = 0.0F;

  Place(const std::array<float, count>& points, float value) noexcept {
    while (below + 2 < count && value >= points[below + 1]) {
      ++below;
    }
    const float gap = points[below + 1] - points[below];
    share = gap > 0.0F ? std::clamp((value - points[below]) / gap, 0.0F, 1.0F) : 0.0F;
  }

  [[nodiscard]] float between(const std::array<float, count>& values) const noexcept {
    return values[below] + share * (values[below + 1] - values[below]);
  }

  /// In a table whose rows stand at these points and whose columns at those of `column`.
  template <std::size_t columns>
  [[nodiscard]] float between(const std::array<std::array<float, columns>, count>& table,
                              const Place<columns>& column) const noexcept {
    const float lower = column.between(table[below]);
    return lower + share * (column.between(table[below + 1]) - lower);
  }
};

}  // namespace

std::span<const Rule, kRuleCount> rules() noexcept {
  return kRules;
}

float log_odds(const Measures& line) noexcept {
  const Place loudness{kLoudness, line.over_others_db};
  const Place pitch{kPitch, std::log2(std::max(line.frequency_hz, 20.0F))};
  float sum = kPrior;
  for (std::size_t i = 0; i < kRuleCount; ++i) {
    const Weights& weights = kWeights[i];
    const Place place{weights.points, kRules[i].measure(line)};
    sum += loudness.between(weights.by_loudness, place) + pitch.between(weights.by_pitch, place);
  }
  return sum;
}

}  // namespace brink::detector
