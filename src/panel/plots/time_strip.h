#pragma once

#include <memory>
#include <span>
#include <vector>

#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/plots/frequency_axis.h"
#include "panel/window/strip_texture.h"
#include "show/session_event.h"

namespace brink::panel {

/// The last kShownS seconds, with the present at the lower edge. Brightness is loudness. Every ring
/// is a line in the colour of its state at that time.
class TimeStrip {
 public:
  static constexpr double kShownS = 20.0;

  explicit TimeStrip(std::unique_ptr<StripTexture> texture);

  /// Begins another stream.
  void clear();
  static constexpr int kAllTaps = 0;

  /// Shows another tap, or kAllTaps, from now on. Its rings are known; its earlier sound is not.
  void show_tap(int tap);
  /// Takes an event of any tap.
  void take(const show::SessionEvent& event);
  /// Takes the newest spectrum. Writes at most one row for each 1/512 of the shown time.
  void look(double stream_s,
            std::span<const float> frequencies_hz,
            std::span<const float> levels_dbfs);

  void draw(const Rect& plot, const FrequencyAxis& axis, const Theme& theme) const;

 private:
  /// The time that a ring was in one state.
  struct Stretch {
    int tap = 1;
    std::uint32_t ring_id = 0;
    detector::RingState state = detector::RingState::kBuilding;
    double frequency_hz = 0.0;
    double from_s = 0.0;
    double to_s = -1.0;  // below 0: it still is
  };

  void write_row(double stream_s);
  void darken();

  std::unique_ptr<StripTexture> texture_;
  std::vector<float> loudest_dbfs_;  // of each column, since the last row
  std::vector<float> columns_dbfs_;
  std::vector<ImU32> pixels_;
  std::vector<Stretch> stretches_;
  int tap_ = 1;
  double stream_s_ = 0.0;
  // Rows written so far; each row stands for 1 / kRows of the shown time.
  std::int64_t row_count_ = 0;
};

}  // namespace brink::panel
