#include "panel/text_field.h"

#include <algorithm>

#include "panel/draw.h"

namespace brink::panel {

void TextField::open(const std::string& text, const Context& context) {
  text_.fill('\0');
  const std::size_t length = std::min(text.size(), text_.size() - 1);
  std::copy_n(text.begin(), length, text_.begin());
  is_open_ = true;
  is_fresh_ = true;
  context.view.is_typing = true;
}

bool TextField::draw(const Rect& area, const Context& context, const char* name) {
  if (!is_open_) {
    return false;
  }
  ImGui::PushID(name);
  ImGui::SetCursorScreenPos(ImVec2(area.left, area.top));
  ImGui::SetNextItemWidth(area.width());
  if (is_fresh_) {
    ImGui::SetKeyboardFocusHere();
  }
  ImGui::InputText("##text", text_.data(), text_.size(), ImGuiInputTextFlags_AutoSelectAll);
  ImGui::PopID();
  context.view.is_typing = true;
  // The key that opened it still counts in this pass.
  const bool is_taken = !is_fresh_ && context.actions.is_pressed(Key::kEnter);
  const bool is_left = !is_fresh_ && context.actions.is_pressed(Key::kEscape);
  is_fresh_ = false;
  if (is_taken || is_left) {
    is_open_ = false;
    context.view.is_typing = false;
  }
  return is_taken;
}

}  // namespace brink::panel
