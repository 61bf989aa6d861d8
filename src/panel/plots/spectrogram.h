#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "panel/window/strip_texture.h"

namespace brink::panel {

/// Levels of a whole recording over time and log frequency. It is small enough for one picture,
/// whatever the length: each column keeps the highest levels of its time. The rows begin at
/// FrequencyAxis::kLowestHz and rise. A copy is cheap: it shares the columns.
class Spectrogram {
 public:
  static constexpr int kColumns = StripTexture::kColumns;
  static constexpr int kRows = StripTexture::kRows;

  [[nodiscard]] int column_count() const noexcept { return column_count_; }

  /// How many samples of the recording a column holds.
  [[nodiscard]] std::int64_t column_samples() const noexcept { return column_samples_; }

  /// Level in dBFS, exact to half a column in time. The last columns repeat the last level where
  /// the delay leaves them without one.
  [[nodiscard]] float level_dbfs(int column, int row) const noexcept;

  /// The highest of these rows, from `first_row` to before `end_row`, in each column from 0 on; the
  /// same as level_dbfs() for each, in less time. `levels_dbfs`: at most column_count().
  void loudest(int first_row, int end_row, std::span<float> levels_dbfs) const noexcept;

 private:
  friend class SpectrogramMaker;

  Spectrogram(std::int64_t column_samples, int hop_samples)
      : hop_samples_(hop_samples), column_samples_(column_samples) {}

  [[nodiscard]] int shift_columns(int row) const noexcept;

  int hop_samples_;
  std::int64_t column_samples_;
  int column_count_ = 0;
  std::shared_ptr<const std::vector<float>> row_delays_samples_;  // null: none
  /// Column after column, in steps of half a dB above the floor; room for kColumns.
  std::shared_ptr<std::uint8_t[]> levels_;
};

/// Makes a Spectrogram, look by look. Moves only: two could not write one picture.
class SpectrogramMaker {
 public:
  /// `expected_samples`: length of the recording; 0 or below when nobody knows. It need not be
  /// right: when the columns are full, each two become one.
  SpectrogramMaker(std::int64_t expected_samples, int hop_samples);
  ~SpectrogramMaker() = default;
  SpectrogramMaker(const SpectrogramMaker&) = delete;
  SpectrogramMaker& operator=(const SpectrogramMaker&) = delete;
  SpectrogramMaker(SpectrogramMaker&&) = default;
  SpectrogramMaker& operator=(SpectrogramMaker&&) = default;

  /// Sets the delay of the levels at these rising frequencies. A level belongs to so many samples
  /// before its look, and pictures show it there. Without delays a level belongs to the end of its
  /// look.
  void set_delays(std::span<const float> frequencies_hz, std::span<const float> delays_samples);

  /// Takes the spectrum (dBFS) after `sample_count` samples. That number rises from look to look;
  /// the frequencies stay the same.
  void look(std::int64_t sample_count,
            std::span<const float> frequencies_hz,
            std::span<const float> levels_dbfs);
  /// Call it after the last look.
  void finish();

  /// The columns that are full by now. They never change, so another thread may read them while
  /// looks go on.
  [[nodiscard]] const Spectrogram& picture() const noexcept { return picture_; }

 private:
  void end_column();
  void halve();

  Spectrogram picture_;
  std::int64_t column_end_;
  std::vector<float> frequencies_hz_;
  // Of each bin in the present column; empty before its first look.
  std::vector<float> loudest_dbfs_;
};

}  // namespace brink::panel
