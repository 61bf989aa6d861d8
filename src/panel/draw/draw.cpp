#include "panel/draw/draw.h"

namespace brink::panel {

ImDrawList& canvas() {
  return *ImGui::GetWindowDrawList();
}

float text_width(ImFont* font, std::string_view text) {
  return font->CalcTextSizeA(font->FontSize, 1e9F, 0.0F, text.data(), text.data() + text.size()).x;
}

float draw_text(ImFont* font, float x, float y, ImU32 colour, std::string_view text, Align align) {
  const float width = text_width(font, text);
  const float share = align == Align::kLeft ? 0.0F : align == Align::kMiddle ? 0.5F : 1.0F;
  const ImVec2 at(static_cast<float>(static_cast<int>(x - share * width)),
                  static_cast<float>(static_cast<int>(y)));  // text at whole pixels is sharp
  canvas().AddText(font, font->FontSize, at, colour, text.data(), text.data() + text.size());
  return width;
}

float draw_wrapped(
    ImFont* font, float x, float y, float width, ImU32 colour, std::string_view text) {
  const char* const end = text.data() + text.size();
  canvas().AddText(font, font->FontSize, ImVec2(x, y), colour, text.data(), end, width);
  return font->CalcTextSizeA(font->FontSize, 1e9F, width, text.data(), end).y;
}

std::string shortened(ImFont* font, std::string_view text, float width) {
  std::string cut(text);
  if (text_width(font, cut) <= width) {
    return cut;
  }
  const std::string_view ellipsis = "\u2026";
  while (!cut.empty() && text_width(font, cut + std::string(ellipsis)) > width) {
    // Cuts whole characters of UTF-8: a byte that begins with the bits 10 belongs to the byte
    // before it.
    while (cut.size() > 1 && (static_cast<unsigned char>(cut.back()) & 0xC0U) == 0x80U) {
      cut.pop_back();
    }
    cut.pop_back();
  }
  return cut.append(ellipsis);
}

void draw_card(const Rect& area, const Theme& theme, ImU32 fill) {
  canvas().AddRectFilled(
      ImVec2(area.left, area.top), ImVec2(area.right, area.bottom), fill, theme.px(6.0F));
}

void draw_state_mark(float x, float y, float radius, detector::RingState state) {
  ImDrawList& list = canvas();
  const ImU32 fill = state_colour(state);
  const float up = 1.2F * radius;
  switch (state) {
    case detector::RingState::kBuilding:
      list.AddTriangleFilled(
          ImVec2(x - radius, y + radius), ImVec2(x + radius, y + radius), ImVec2(x, y - up), fill);
      break;
    case detector::RingState::kRinging:
      list.AddCircleFilled(ImVec2(x, y), up, fill);
      list.AddCircle(ImVec2(x, y), up, colour::kText, 0, 0.25F * radius);
      break;
    case detector::RingState::kFading:
      list.AddTriangleFilled(
          ImVec2(x - radius, y - radius), ImVec2(x, y + up), ImVec2(x + radius, y - radius), fill);
      break;
    case detector::RingState::kGone:
      list.AddLine(
          ImVec2(x - radius, y - radius), ImVec2(x + radius, y + radius), fill, 0.4F * radius);
      list.AddLine(
          ImVec2(x - radius, y + radius), ImVec2(x + radius, y - radius), fill, 0.4F * radius);
      break;
    case detector::RingState::kWithdrawn:  // a circle struck out: what was drawn full is taken back
      list.AddCircle(ImVec2(x, y), radius, fill, 0, 0.3F * radius);
      list.AddLine(ImVec2(x - up, y + up), ImVec2(x + up, y - up), fill, 0.3F * radius);
      break;
  }
}

Clip::Clip(const Rect& area) {
  canvas().PushClipRect(ImVec2(area.left, area.top), ImVec2(area.right, area.bottom), true);
}

Clip::~Clip() {
  canvas().PopClipRect();
}

}  // namespace brink::panel
