#include "panel/actions.h"

#include <algorithm>
#include <cctype>
#include <utility>

#include "panel/draw/draw.h"

namespace brink::panel {
namespace {

constexpr float kBetween = 6.0F;  // key and word
constexpr float kApart = 22.0F;   // one offer and the next

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
  has_mouse_ = true;
  is_typing_ = is_typing;
  if (is_typing) {
    std::erase_if(presses_, [](const Press& press) {
      return press.key != Key::kEscape && press.key != Key::kEnter && press.key != Key::kF12;
    });
  }
}

bool Actions::is_pressed(Key key) const noexcept {
  return std::any_of(presses_.begin(), presses_.end(), [key](const Press& press) {
    return press.key == key && !press.is_repeat;
  });
}

int Actions::count_presses(Key key) const noexcept {
  return static_cast<int>(std::count_if(
      presses_.begin(), presses_.end(), [key](const Press& press) { return press.key == key; }));
}

int Actions::count_fresh_presses(Key key) const noexcept {
  return static_cast<int>(
      std::count_if(presses_.begin(), presses_.end(), [key](const Press& press) {
        return press.key == key && !press.is_repeat;
      }));
}

int Actions::count_presses(Key key, bool has_shift) const noexcept {
  return static_cast<int>(std::count_if(presses_.begin(), presses_.end(), [&](const Press& press) {
    return press.key == key && press.has_shift == has_shift;
  }));
}

std::vector<Press> Actions::take_after(char32_t character) {
  const auto opener = std::find_if(presses_.begin(), presses_.end(), [&](const Press& press) {
    return press.key == Key::kCharacter && lower(press.character) == lower(character);
  });
  std::vector<Press> after;
  if (opener != presses_.end()) {
    after.assign(opener + 1, presses_.end());
    presses_.erase(opener + 1, presses_.end());
  }
  return after;
}

bool Actions::is_clicked(const Rect& area) const {
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  return has_mouse_ && ImGui::IsMouseClicked(0) && area.holds(mouse.x, mouse.y);
}

bool Actions::is_mouse_held(const Rect& area) const {
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  return has_mouse_ && ImGui::IsMouseDown(0) && area.holds(mouse.x, mouse.y);
}

float Actions::wheel_steps(const Rect& area) const {
  const ImGuiIO& io = ImGui::GetIO();
  return has_mouse_ && area.holds(io.MousePos.x, io.MousePos.y) ? io.MouseWheel : 0.0F;
}

bool Actions::is_pressed(char32_t character) const noexcept {
  return std::any_of(presses_.begin(), presses_.end(), [character](const Press& press) {
    return press.key == Key::kCharacter && !press.is_repeat &&
           lower(press.character) == lower(character);
  });
}

bool Actions::take(Offer offer, bool is_pressed) {
  const bool was_clicked = asked_ == offer.label;
  offers_.push_back(std::move(offer));
  return is_pressed || was_clicked;
}

bool Actions::offer(std::string_view key_name, std::string_view label) {
  const char32_t character =
      key_name == "Space" ? U' ' : static_cast<char32_t>(static_cast<unsigned char>(key_name[0]));
  return take({std::string(key_name), std::string(label), is_typing_}, is_pressed(character));
}

bool Actions::offer(Key key, std::string_view key_name, std::string_view label) {
  return take({std::string(key_name), std::string(label)}, is_pressed(key));
}

void Actions::show(std::string_view key_name, std::string_view label) {
  offers_.push_back({std::string(key_name), std::string(label)});
}

namespace {

float width_of(std::string_view key_name, std::string_view label, const Theme& theme) {
  return text_width(theme.strong, key_name) + theme.px(kBetween) + text_width(theme.body, label);
}

}  // namespace

void Actions::draw_offer(const Offer& offer, float x, const Rect& line, const Theme& theme) {
  const float width = width_of(offer.key_name, offer.label, theme);
  const Rect button{x - theme.px(8.0F), line.top, x + width + theme.px(8.0F), line.bottom};
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  if (button.holds(mouse.x, mouse.y)) {
    draw_card(button.inset(theme.px(2.0F)), theme, colour::kCardLit);
    if (ImGui::IsMouseClicked(0)) {
      clicked_ = offer.label;
    }
  }
  const float y = line.middle_y() - 0.5F * theme.body->FontSize;
  const float key_width = draw_text(
      theme.strong, x, y, offer.is_blocked ? colour::kQuiet : colour::kYellow, offer.key_name);
  draw_text(theme.body,
            x + key_width + theme.px(kBetween),
            y,
            offer.is_blocked ? colour::kQuiet : colour::kText,
            offer.label);
}

void Actions::draw_bar(const Rect& area, const Theme& theme, Align align) {
  float width_of_all = 0.0F;
  for (std::size_t i = drawn_; i < offers_.size(); ++i) {
    width_of_all += width_of(offers_[i].key_name, offers_[i].label, theme);
  }
  // Many buttons in a narrow window stand closer.
  const float gaps = static_cast<float>(std::max<std::size_t>(offers_.size() - drawn_, 2) - 1);
  const float apart =
      std::clamp((area.width() - width_of_all) / gaps, theme.px(8.0F), theme.px(kApart));
  float x = area.left;
  if (align == Align::kRight) {
    x = area.right + apart;
    for (std::size_t i = drawn_; i < offers_.size(); ++i) {
      x -= width_of(offers_[i].key_name, offers_[i].label, theme) + apart;
    }
  }
  for (; drawn_ < offers_.size(); ++drawn_) {
    const Offer& offer = offers_[drawn_];
    draw_offer(offer, x, area, theme);
    x += width_of(offer.key_name, offer.label, theme) + apart;
  }
}

float Actions::draw_apart(std::size_t first,
                          const Rect& area,
                          float line_height,
                          const Theme& theme) {
  first = std::max(first, drawn_);
  Rect rest = area;
  Rect line = rest.take_top(line_height);
  float x = line.left;
  for (std::size_t i = first; i < offers_.size(); ++i) {
    const float width = width_of(offers_[i].key_name, offers_[i].label, theme);
    if (x > line.left && x + width > line.right) {
      line = rest.take_top(line_height);
      x = line.left;
    }
    draw_offer(offers_[i], x, line, theme);
    x += width + theme.px(kApart);
  }
  offers_.resize(std::min(first, offers_.size()));
  return line.bottom - area.top;
}

}  // namespace brink::panel
