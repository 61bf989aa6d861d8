#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "detector/long_window.h"
#include "detector/scales.h"
#include "detector/tracks.h"

namespace brink::detector {

/// What a line that neither grows nor ends looked like over its newest looks. At exactly the brink
/// a loop's tone stands: each syllable or note that has power there gives it a little, between them
/// it keeps what it has, and its phase stays one straight line. Times in s, levels in dB.
struct StandingLine {
  static constexpr std::size_t kMeasures = 17;

  int looks = 0;  ///< how many looks back it goes
  std::array<float, kMeasures> measures{};
  std::optional<LongLine> long_line;  ///< where the long window has one
};

/// Names of StandingLine::measures, in their order.
[[nodiscard]] std::span<const char* const, StandingLine::kMeasures>
standing_measure_names() noexcept;

/// Log odds that a standing line is a loop at its brink, by a fitted table (docs/method.md).
[[nodiscard]] float log_odds(const StandingLine& line) noexcept;

/// Measures standing lines among everything that stands at the moment. Constructing allocates, the
/// rest does not. [analysis]
class Standing {
 public:
  Standing();

  /// Once per hop, before anything is measured. `scales` must stay where it is until then.
  void gather(const Scales& scales) noexcept;

  /// The line that `track` (of `scale`) has stood for, over the longest span that is still one;
  /// nothing when it is young, out of sight half of the time, or moves.
  [[nodiscard]] std::optional<StandingLine> line_of(const Scale& scale,
                                                    const Track& track) const noexcept;

  static constexpr int kFillsLooks = 32;  ///< 0.5 s at a hop of 16 ms

  /// Whether `track` has stood near full scale for kFillsLooks, with nothing near it in level but
  /// its own multiples. Programme leaves headroom and has more than one tone.
  [[nodiscard]] bool fills_tap(const Track& track) const noexcept;

 private:
  /// Another line of this moment, from the scale that speaks for its frequency.
  struct Line {
    float frequency_hz;
    float level_dbfs;
    int seen_hops;
  };

  [[nodiscard]] std::optional<StandingLine> line_over(const Scale& scale,
                                                      const Track& track,
                                                      int looks) const noexcept;
  void describe_company(const Track& track, int looks, StandingLine& line) const noexcept;

  std::vector<Line> lines_;
  const LongWindow* long_window_ = nullptr;  ///< of what was gathered
};

}  // namespace brink::detector
