#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "panel/window/strip_texture.h"

namespace brink::panel {

/// Levels of a whole recording over time and log frequency, small enough to be one picture however
/// long it is: each column keeps the loudest of its time. The rows go from
/// FrequencyAxis::kLowestHz up.
class Spectrogram {
 public:
  static constexpr int kColumns = StripTexture::kColumns;
  static constexpr int kRows = StripTexture::kRows;

  /// `expected_samples`: of the recording; at most 0 when nobody knows. Right or wrong, everything
  /// that comes is taken: when the columns are full, two become one.
  Spectrogram(std::int64_t expected_samples, int hop_samples);

  /// How many samples before a look lies what it says of each of these rising frequencies: pictures
  /// show it there. Without it a look says what is now.
  void set_delays(std::span<const float> frequencies_hz, std::span<const float> delays_samples);

  /// The spectrum (dBFS) after so many samples; they rise from look to look, and the frequencies
  /// stay the same.
  void look(std::int64_t sample_count,
            std::span<const float> frequencies_hz,
            std::span<const float> levels_dbfs);
  /// After the last look.
  void finish();

  [[nodiscard]] int column_count() const noexcept { return column_count_; }

  /// How much of the recording a column stands for.
  [[nodiscard]] std::int64_t column_samples() const noexcept { return column_samples_; }

  /// Exact to half a column in time. What the last looks do not reach any more looks like them.
  [[nodiscard]] float level_dbfs(int column, int row) const noexcept;

 private:
  void end_column();
  void halve();

  int hop_samples_;
  std::int64_t column_samples_;
  std::int64_t column_end_;
  int column_count_ = 0;
  std::vector<float> row_delays_samples_;  // empty: none
  std::vector<float> frequencies_hz_;
  std::vector<float> loudest_dbfs_;   // of each bin in the present column; empty before the first
  std::vector<std::uint8_t> levels_;  // column after column, half dB above the floor
};

}  // namespace brink::panel
