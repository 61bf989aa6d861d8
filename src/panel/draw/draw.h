#pragma once

#include <imgui.h>

#include <string>
#include <string_view>

#include "detector/ring.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// Where text stands against the point it is given.
enum class Align { kLeft, kMiddle, kRight };

/// One line of text, its upper edge at `y`; returns its width.
float draw_text(ImFont* font,
                float x,
                float y,
                ImU32 colour,
                std::string_view text,
                Align align = Align::kLeft);
/// The same, broken at blanks into lines of at most `width`; returns the height.
float draw_wrapped(
    ImFont* font, float x, float y, float width, ImU32 colour, std::string_view text);
/// The text as far as it fits into `width`, an ellipsis where it was cut.
[[nodiscard]] std::string shortened(ImFont* font, std::string_view text, float width);
[[nodiscard]] float text_width(ImFont* font, std::string_view text);

void draw_card(const Rect& area, const Theme& theme, ImU32 fill = colour::kCard);

/// A state by its shape: building a triangle up, ringing a full circle, fading a triangle down,
/// gone a cross.
void draw_state_mark(float x, float y, float radius, detector::RingState state);

/// Draws into a part of the window alone, until the end of its life.
class Clip {
 public:
  explicit Clip(const Rect& area);
  ~Clip();
  Clip(const Clip&) = delete;
  Clip& operator=(const Clip&) = delete;
  Clip(Clip&&) = delete;
  Clip& operator=(Clip&&) = delete;
};

/// The draw list of the pass.
[[nodiscard]] ImDrawList& canvas();

}  // namespace brink::panel
