#pragma once

#include <cstdint>

#include "panel/draw/rect.h"

namespace brink::panel {

/// The part of a recording that is shown, in samples from its beginning.
class RecordingView {
 public:
  /// The least that is shown: 10 ms a pixel in a narrow window, and finer in a wide one.
  static constexpr double kLeastSpanS = 4.0;

  /// Shows all of a recording.
  void open(std::int64_t samples, double sample_rate_hz);
  /// The recording is known to be longer now. Goes on showing all of it, or the same part.
  void grow(std::int64_t samples);

  [[nodiscard]] double from() const noexcept { return from_; }

  [[nodiscard]] double to() const noexcept { return to_; }

  [[nodiscard]] bool is_whole() const noexcept { return from_ <= 0.0 && to_ >= samples_; }

  /// Shows `factor` times as much. The moment at `share` of the view, 0 to 1, stays where it is.
  void zoom(double factor, double share);
  /// Goes on by that share of the view; negative: back.
  void pan(double share);
  void show_all() noexcept;
  /// Pans so that the moment can be seen, only as far as needed.
  void bring(double sample);

 private:
  void set(double from, double span);

  double samples_ = 0.0;
  double sample_rate_hz_ = 48000.0;
  double from_ = 0.0;
  double to_ = 0.0;
};

/// Where moments, channels and frequencies lie in the plot: one picture for one channel, or a strip
/// for each of several above each other.
struct PlotScale {
  Rect plot;
  double from = 0.0;  ///< samples
  double to = 1.0;
  int channel = 1;  ///< from 1; 0: all
  int channels = 1;

  [[nodiscard]] int strips() const noexcept { return channel == 0 ? channels : 1; }

  /// Of a channel that is shown, from 1.
  [[nodiscard]] Rect strip(int of_channel) const noexcept;

  [[nodiscard]] float x_of(double sample) const noexcept;
  [[nodiscard]] double sample_at(float x) const noexcept;
  [[nodiscard]] float y_of(double frequency_hz, int of_channel) const noexcept;
  [[nodiscard]] int channel_at(float y) const noexcept;
  [[nodiscard]] double hz_at(float y) const noexcept;
};

}  // namespace brink::panel
