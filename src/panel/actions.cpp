#include "panel/actions.h"

#include <algorithm>
#include <cctype>
#include <utility>

#include "panel/draw.h"

namespace brink::panel {
namespace {

char32_t lower(char32_t character) noexcept {
  return character < 128 ? static_cast<char32_t>(std::tolower(static_cast<int>(character)))
                         : character;
}

}  // namespace

void Actions::begin(const Input& input, bool is_typing) {
  offers_.clear();
  drawn_ = 0;
  asked_ = std::exchange(clicked_, {});
  presses_ = input.presses;
  if (is_typing) {
    std::erase_if(presses_, [](const Press& press) {
      return press.key != Key::kEscape && press.key != Key::kEnter && press.key != Key::kF12;
    });
  }
}

bool Actions::is_pressed(Key key) const noexcept {
  return count_presses(key) > 0;
}

int Actions::count_presses(Key key) const noexcept {
  return static_cast<int>(std::count_if(
      presses_.begin(), presses_.end(), [key](const Press& press) { return press.key == key; }));
}

bool Actions::is_pressed(char32_t character) const noexcept {
  return std::any_of(presses_.begin(), presses_.end(), [character](const Press& press) {
    return press.key == Key::kCharacter && !press.is_repeat &&
           lower(press.character) == lower(character);
  });
}

bool Actions::take(std::string_view key_name, std::string_view label, bool is_pressed) {
  const bool was_clicked = asked_ == label;
  offers_.push_back({std::string(key_name), std::string(label)});
  return is_pressed || was_clicked;
}

bool Actions::offer(std::string_view key_name, std::string_view label) {
  const char32_t character =
      key_name == "Space" ? U' ' : static_cast<char32_t>(static_cast<unsigned char>(key_name[0]));
  return take(key_name, label, is_pressed(character));
}

bool Actions::offer(Key key, std::string_view key_name, std::string_view label) {
  return take(key_name, label, is_pressed(key));
}

void Actions::show(std::string_view key_name, std::string_view label) {
  offers_.push_back({std::string(key_name), std::string(label)});
}

void Actions::draw_bar(const Rect& area, const Theme& theme, Align align) {
  const float between = theme.px(6.0F);
  const float apart = theme.px(22.0F);
  const auto width_of = [&](const Offer& offer) {
    return text_width(theme.strong, offer.key_name) + between + text_width(theme.body, offer.label);
  };
  float x = area.left;
  if (align == Align::kRight) {
    x = area.right + apart;
    for (std::size_t i = drawn_; i < offers_.size(); ++i) {
      x -= width_of(offers_[i]) + apart;
    }
  }
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const float y = area.middle_y() - 0.5F * theme.body->FontSize;
  for (; drawn_ < offers_.size(); ++drawn_) {
    const Offer& offer = offers_[drawn_];
    const float width = width_of(offer);
    const Rect button{x - theme.px(8.0F), area.top, x + width + theme.px(8.0F), area.bottom};
    if (button.holds(mouse.x, mouse.y)) {
      draw_card(button.inset(theme.px(2.0F)), theme, colour::kCardLit);
      if (ImGui::IsMouseClicked(0)) {
        clicked_ = offer.label;
      }
    }
    const float key_width = draw_text(theme.strong, x, y, colour::kYellow, offer.key_name);
    draw_text(theme.body, x + key_width + between, y, colour::kText, offer.label);
    x += width + apart;
  }
}

}  // namespace brink::panel
