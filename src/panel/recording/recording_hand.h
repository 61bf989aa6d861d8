#pragma once

#include <imgui.h>

#include <optional>

#include "panel/actions.h"
#include "panel/recording/recording_plot.h"

namespace brink::panel {

/// What keys and mouse do to the plot: closer, wider, along, and the cursor.
class RecordingHand {
 public:
  /// A new recording: all of it is shown, no cursor.
  void open(const listen::Analysis& analysis);

  [[nodiscard]] RecordingView& view() noexcept { return view_; }

  [[nodiscard]] const RecordingView& view() const noexcept { return view_; }

  [[nodiscard]] const std::optional<RecordingCursor>& cursor() const noexcept { return cursor_; }

  /// Offers the keys and takes keys and mouse. `about`: the moment that keys zoom at while there is
  /// no cursor. Returns the place of a click, which neither drags nor zooms.
  [[nodiscard]] std::optional<ImVec2> steer(Actions& actions,
                                            const PlotScale& scale,
                                            double about,
                                            const Theme& theme);

 private:
  void take_keys(Actions& actions, const PlotScale& scale, double about);
  void move_cursor(const Actions& actions, const PlotScale& scale);
  std::optional<ImVec2> take_mouse(const Actions& actions,
                                   const PlotScale& scale,
                                   const Theme& theme);

  RecordingView view_;
  std::optional<RecordingCursor> cursor_;
  std::optional<ImVec2> pressed_;  // where the mouse went down in the plot
  bool is_dragged_ = false;        // and was moved since
  ImVec2 last_mouse_{-1.0F, -1.0F};
};

}  // namespace brink::panel
