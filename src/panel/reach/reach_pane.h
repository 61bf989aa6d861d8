#pragma once

#include <array>
#include <string>

#include "desk/reach_form.h"
#include "panel/pane.h"

namespace brink::panel {

/// Shows whether distances and open microphones allow the gain needed, and which move helps most.
class ReachPane final : public Pane {
 public:
  [[nodiscard]] const char* title() const noexcept override { return "Reach"; }

  void draw(const Rect& area, Context& context) override;
  void describe(Facts& facts) const override;

 private:
  [[nodiscard]] desk::ReachField selected() const;
  void steer(Context& context);
  void edit(Context& context);
  void draw_form(const Rect& area, Context& context);
  void draw_row(const Rect& row, desk::ReachField field, bool is_here, const Theme& theme);
  void draw_edit_field(const Rect& area);
  void draw_verdict(const Rect& area, const Theme& theme) const;
  void draw_moves(const Rect& area, const Theme& theme) const;

  desk::ReachForm form_;
  int row_ = 0;
  bool is_editing_ = false;
  bool wants_focus_ = false;
  std::array<char, 32> typed_{};
  std::string refusal_;
};

}  // namespace brink::panel
