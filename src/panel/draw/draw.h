#pragma once

#include <imgui.h>

#include <string>
#include <string_view>

#include "detector/ring.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// On which side of its point a text lies.
enum class Align { kLeft, kMiddle, kRight };

/// Draws one line of text with its upper edge at `y`. Returns its width.
float draw_text(ImFont* font,
                float x,
                float y,
                ImU32 colour,
                std::string_view text,
                Align align = Align::kLeft);
/// The same, with line breaks at blanks so that no line is wider than `width`. Returns the height.
float draw_wrapped(
    ImFont* font, float x, float y, float width, ImU32 colour, std::string_view text);
/// As much of the text as fits into `width`, with an ellipsis when it was cut.
[[nodiscard]] std::string shortened(ImFont* font, std::string_view text, float width);
[[nodiscard]] float text_width(ImFont* font, std::string_view text);

void draw_card(const Rect& area, const Theme& theme, ImU32 fill = colour::kCard);

/// Shows a state by a shape: building is a triangle up, ringing a full circle, fading a triangle
/// down, gone a cross.
void draw_state_mark(float x, float y, float radius, detector::RingState state);

/// While it lives, drawing is limited to one part of the window.
class Clip {
 public:
  explicit Clip(const Rect& area);
  ~Clip();
  Clip(const Clip&) = delete;
  Clip& operator=(const Clip&) = delete;
  Clip(Clip&&) = delete;
  Clip& operator=(Clip&&) = delete;
};

/// The draw list of this pass.
[[nodiscard]] ImDrawList& canvas();

}  // namespace brink::panel
