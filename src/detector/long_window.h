#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "detector/peaks.h"
#include "detector/spectrum.h"

namespace brink::detector {

/// What a window of two seconds makes of one line.
struct LongLine {
  static constexpr std::size_t kMeasures = 11;

  std::array<float, kMeasures> measures{};
};

/// Names of LongLine::measures, in their order.
[[nodiscard]] std::span<const char* const, LongLine::kMeasures> long_measure_names() noexcept;

/// The lines that only a window of two seconds tells apart. A loop at its brink has a line narrower
/// than a hertz, and stays on it while music changes its notes. Over so long a window such a line
/// stands out further, and a note that moves or ends does not. Constructing allocates, the rest
/// does not. [analysis]
class LongWindow {
 public:
  static constexpr double kWindowS = 2.0;
  static constexpr double kLowestHz = 40.0;
  static constexpr double kHighestHz = 2400.0;
  static constexpr int kHopsPerLook = 16;  ///< 0.26 s at a hop of 16 ms

  /// `sample_rate_hz`: above twice kHighestHz. `hop_samples` > 0: what each advance() takes.
  LongWindow(double sample_rate_hz, int hop_samples);

  /// Takes the next hop. Looks once in kHopsPerLook.
  void advance(std::span<const float> hop) noexcept;

  /// The loudest line within 1.5 Hz of `frequency_hz`, which shorter windows read at `level_dbfs`,
  /// as of the newest look; nothing when none stands out there.
  [[nodiscard]] std::optional<LongLine> line_at(float frequency_hz,
                                                float level_dbfs) const noexcept;

  /// How many lines have held for three quarters of a second or longer. Speech and noise have
  /// hardly any, music has several.
  [[nodiscard]] int held_lines() const noexcept { return held_lines_; }

 private:
  static constexpr std::size_t kLooks = 16;  ///< kept: 4 s
  static constexpr std::size_t kMostLines = 256;

  /// A line of one look, linked to the one before it.
  struct Line {
    float frequency_hz = 0.0F;
    float level_dbfs = 0.0F;
    float prominence_db = 0.0F;
    float impurity_db = 0.0F;
    std::int16_t before = -1;  ///< its index in the look before, or -1
    std::int16_t age = 1;      ///< looks in a row that have had it, this one counted
  };

  struct Look {
    std::array<Line, kMostLines> lines{};
    std::size_t count = 0;

    [[nodiscard]] std::span<const Line> all() const noexcept { return {lines.data(), count}; }
  };

  /// What a line did over the looks that are kept.
  struct Course {
    float mean_prominence_db = 0.0F;
    float scatter_db = 0.0F;
    float slope_db = 0.0F;   ///< from look to look
    float wander_hz = 0.0F;  ///< root mean square distance of the frequency from its line
  };

  /// The other lines of the newest look.
  struct Company {
    float standers = 0.0F;  ///< those that have held about as long, within 25 dB below it
    float older = 0.0F;
    float loudest_dbfs = 0.0F;
  };

  /// `back` looks ago, 0 is the newest.
  [[nodiscard]] const Look& look(std::size_t back) const noexcept {
    return looks_[(newest_ + kLooks - back) % kLooks];
  }

  void take_look() noexcept;
  void count_held_lines() noexcept;
  [[nodiscard]] Course course_of(const Line& line) const noexcept;
  [[nodiscard]] Company company_of(const Line& line) const noexcept;

  Spectrum spectrum_;
  PeakFinder finder_;
  std::vector<float> samples_;  ///< of the hops since the newest look
  std::size_t filled_ = 0;
  std::vector<Peak> peaks_;
  std::vector<Look> looks_;
  std::size_t newest_ = 0;
  int held_lines_ = 0;
};

}  // namespace brink::detector
