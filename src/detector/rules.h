#pragma once

#include <array>
#include <cstddef>
#include <span>

#include "detector/measures.h"

namespace brink::detector {

/// One rule of evidence: what a single measure of a line says for or against a ring.
///
/// Each rule is two tables of log odds (natural logarithm). One runs over its own measure and over
/// how loud the line stands among the others, because the same measure means more or less under a
/// louder line. The other runs over its own measure and over frequency, because notes live low.
/// Between the points it is linear, beyond them constant. The sum over all rules is the log odds of
/// a ring, as one look sees it. The values were fitted by logistic regression to labelled
/// recordings of loops and of programme (docs/method.md says which, and how to fit them again);
/// what each rule measures, and why, is physics and stands in rules.cpp.
struct Rule {
  const char* name;
  const char* unit;
  const char* reason;
  float (*measure)(const Measures& line) noexcept;
};

inline constexpr std::size_t kRuleCount = 29;
inline constexpr std::size_t kRulePoints = 6;      ///< of a rule's own measure
inline constexpr std::size_t kLoudnessPoints = 4;  ///< of Measures::over_others_db
inline constexpr std::size_t kPitchPoints = 4;     ///< of Measures::frequency_hz, in octaves

[[nodiscard]] std::span<const Rule, kRuleCount> rules() noexcept;

/// Log odds that a line with these measures is a ring. Finite for every finite measure.
[[nodiscard]] float log_odds(const Measures& line) noexcept;

}  // namespace brink::detector
