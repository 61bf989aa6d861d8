#include "panel/plots/spectrogram.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "panel/plots/frequency_axis.h"
#include "panel/plots/spectrum_plot.h"

namespace brink::panel {
namespace {

// A byte holds -120 to +7.5 dBFS in steps of half a dB. That is finer than any shade and more than
// what is shown.
constexpr float kFloorDbfs = -120.0F;
constexpr float kStepDb = 0.5F;

constexpr auto kColumnBytes = static_cast<std::ptrdiff_t>(Spectrogram::kRows);

std::uint8_t to_byte(float level_dbfs) noexcept {
  return static_cast<std::uint8_t>(
      std::lround(std::clamp((level_dbfs - kFloorDbfs) / kStepDb, 0.0F, 255.0F)));
}

/// For all columns that there can be. The system gives it as it is written to.
std::shared_ptr<std::uint8_t[]> room() {
  constexpr auto kBytes = static_cast<std::size_t>(Spectrogram::kColumns) * Spectrogram::kRows;
  return std::shared_ptr<std::uint8_t[]>(new std::uint8_t[kBytes]);
}

}  // namespace

/// How many columns after a moment its level stands.
int Spectrogram::shift_columns(int row) const noexcept {
  if (!row_delays_samples_) {
    return 0;
  }
  const auto delay = static_cast<double>((*row_delays_samples_)[static_cast<std::size_t>(row)]);
  // On average, the looks of a column end half a hop after its middle.
  const double later = delay - 0.5 * hop_samples_;
  return static_cast<int>(std::lround(later / static_cast<double>(column_samples_)));
}

float Spectrogram::level_dbfs(int column, int row) const noexcept {
  column = std::clamp(column + shift_columns(row), 0, column_count_ - 1);
  const std::ptrdiff_t index = column * kColumnBytes + row;
  return kFloorDbfs + kStepDb * static_cast<float>(levels_[index]);
}

void Spectrogram::loudest(int first_row, int end_row, std::span<float> levels_dbfs) const noexcept {
  std::fill(levels_dbfs.begin(), levels_dbfs.end(), kFloorDbfs);
  for (int row = first_row; row < end_row; ++row) {
    const int shift = shift_columns(row);
    for (int column = 0; column < static_cast<int>(levels_dbfs.size()); ++column) {
      const std::ptrdiff_t shifted = std::clamp(column + shift, 0, column_count_ - 1);
      const std::uint8_t level = levels_[shifted * kColumnBytes + row];
      float& loudest = levels_dbfs[static_cast<std::size_t>(column)];
      loudest = std::max(loudest, kFloorDbfs + kStepDb * static_cast<float>(level));
    }
  }
}

SpectrogramMaker::SpectrogramMaker(std::int64_t expected_samples, int hop_samples)
    : picture_(
          std::max<std::int64_t>(
              hop_samples, (expected_samples + Spectrogram::kColumns - 1) / Spectrogram::kColumns),
          hop_samples),
      column_end_(picture_.column_samples_) {}

void SpectrogramMaker::set_delays(std::span<const float> frequencies_hz,
                                  std::span<const float> delays_samples) {
  std::vector<float> delays(Spectrogram::kRows, 0.0F);
  for (int row = 0; row < Spectrogram::kRows && !frequencies_hz.empty(); ++row) {
    const double row_hz =
        FrequencyAxis::to_hz((static_cast<double>(row) + 0.5) / Spectrogram::kRows);
    const auto next = std::lower_bound(
        frequencies_hz.begin(), frequencies_hz.end() - 1, static_cast<float>(row_hz));
    delays[static_cast<std::size_t>(row)] =
        delays_samples[static_cast<std::size_t>(next - frequencies_hz.begin())];
  }
  picture_.row_delays_samples_ = std::make_shared<const std::vector<float>>(std::move(delays));
}

/// Joins each two columns to one that keeps the louder level, in memory of its own: others may be
/// reading.
void SpectrogramMaker::halve() {
  const std::shared_ptr<const std::uint8_t[]> before = std::exchange(picture_.levels_, room());
  picture_.column_count_ /= 2;
  for (int column = 0; column < picture_.column_count_; ++column) {
    const std::uint8_t* even = before.get() + 2 * column * kColumnBytes;
    std::transform(even,
                   even + kColumnBytes,
                   even + kColumnBytes,
                   picture_.levels_.get() + column * kColumnBytes,
                   [](std::uint8_t a, std::uint8_t b) { return std::max(a, b); });
  }
  picture_.column_samples_ *= 2;
}

void SpectrogramMaker::end_column() {
  if (!picture_.levels_) {
    picture_.levels_ = room();
  }
  if (picture_.column_count_ == Spectrogram::kColumns) {
    halve();
  }
  std::vector<float> rows(Spectrogram::kRows);
  to_columns(frequencies_hz_, loudest_dbfs_, rows);
  std::transform(rows.begin(),
                 rows.end(),
                 picture_.levels_.get() + picture_.column_count_ * kColumnBytes,
                 to_byte);
  ++picture_.column_count_;
  loudest_dbfs_.clear();
  column_end_ = (picture_.column_count_ + 1) * picture_.column_samples_;
}

void SpectrogramMaker::look(std::int64_t sample_count,
                            std::span<const float> frequencies_hz,
                            std::span<const float> levels_dbfs) {
  if (!loudest_dbfs_.empty() && sample_count > column_end_) {
    end_column();
  }
  if (loudest_dbfs_.empty()) {
    frequencies_hz_.assign(frequencies_hz.begin(), frequencies_hz.end());
    loudest_dbfs_.assign(levels_dbfs.begin(), levels_dbfs.end());
    return;
  }
  for (std::size_t i = 0; i < levels_dbfs.size(); ++i) {
    loudest_dbfs_[i] = std::max(loudest_dbfs_[i], levels_dbfs[i]);
  }
}

void SpectrogramMaker::finish() {
  if (!loudest_dbfs_.empty()) {
    end_column();
  }
}

}  // namespace brink::panel
