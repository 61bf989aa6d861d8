#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

namespace brink::listen {

/// What to tell the user about one tap's level. Common practice is to have peaks at about -12 dBFS
/// in a loud passage. This leaves room for a ring to grow and is far above the noise of the input.
struct InputLevel {
  double peak_dbfs = 0.0;     ///< over the last 0.3 s; base::kSilenceDb for silence
  double rms_dbfs = 0.0;      ///< over the last 0.3 s; a full-scale sine reads -3
  bool is_clipping = false;   ///< full scale was reached within the last second
  bool is_too_quiet = false;  ///< no peak above -50 dBFS in the last 5 s
  bool is_silent = false;     ///< exact zeros for half a second: no cable, or a digital mute
};

/// Watches the level of one tap. Its time is that of the stream. [analysis]
class InputMonitor {
 public:
  explicit InputMonitor(double sample_rate_hz);

  /// Takes the next samples, full scale +-1. NaN and infinity count as level 0, but not as silence.
  void push(std::span<const float> block) noexcept;

  /// The level at present. Never allocates.
  [[nodiscard]] InputLevel level() const noexcept;

  [[nodiscard]] bool is_silent() const noexcept { return zero_count_ >= silence_samples_; }

  /// Begins a new stream.
  void reset() noexcept;

 private:
  static constexpr std::size_t kSlices = 100;  // of 50 ms: 5 s

  struct Slice {
    float peak_lin = 0.0F;
    double power_lin = 0.0;  // sum of squares
  };

  [[nodiscard]] float peak_over(std::size_t slices) const noexcept;
  void end_slice() noexcept;

  std::size_t slice_samples_;
  std::int64_t silence_samples_;
  std::array<Slice, kSlices> slices_{};  // the newest whole slice is the one before next_
  std::size_t next_ = 0;
  std::size_t slice_count_ = 0;  // number of whole slices so far
  Slice current_;
  std::size_t current_samples_ = 0;
  std::int64_t zero_count_ = 0;
};

}  // namespace brink::listen
