#include "panel/draw/theme.h"

#include <ft2build.h>
#include <imgui_freetype.h>
#include FT_FREETYPE_H

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string>

#include "panel/draw/font_files.h"
#include "panel/draw/seen.h"

namespace brink::panel {
namespace {

// What brink says itself, in large letters: ASCII, dots and arrows.
constexpr std::array<ImWchar, 7> kSigns{0x20, 0x7E, 0x2026, 0x2026, 0x2190, 0x2193, 0};
// What a frequency is written with: the largest letters take much room on the graphics card.
constexpr std::array<ImWchar, 15> kFrequencySigns{
    ' ', ' ', '.', '.', '0', '9', '?', '?', 'H', 'H', 'k', 'k', 'z', 'z', 0};
// Latin with accents, Greek and Cyrillic, for text that people type; dashes and quotes, arrows,
// minus and comparison signs, sharp and flat. A character that the font lacks shows as "?".
constexpr std::array<ImWchar, 15> kLetters{0x20,
                                           0x17F,
                                           0x370,
                                           0x52F,
                                           0x2010,
                                           0x2026,
                                           0x2190,
                                           0x2193,
                                           0x2212,
                                           0x2212,
                                           0x2264,
                                           0x2265,
                                           0x266D,
                                           0x266F,
                                           0};

/// Dear ImGui's font builder keeps the picture of a letter in a buffer of 256 KiB, 4 bytes a pixel,
/// and writes beyond it when a letter is larger. The widest letters of ASCII (@, W) have up to 1.6
/// times the square of the capitals' height, what a frequency is written with less than 0.8 times.
constexpr double kHighestCapitalPx = 185.0;
constexpr double kHighestDigitPx = 270.0;

/// Height of its capitals as a share of the size that it is loaded with (from the highest to the
/// lowest letter).
double cap_share(const std::string& path) {
  constexpr double kOfMany = 0.58;  // of fonts that do not tell; letters come out a little larger
  FT_Library library = nullptr;
  FT_Face face = nullptr;
  double share = kOfMany;
  if (FT_Init_FreeType(&library) != 0) {
    return share;
  }
  if (FT_New_Face(library, path.c_str(), 0, &face) == 0) {
    const auto height = static_cast<double>(face->ascender - face->descender);
    if (height > 0.0 && FT_Load_Char(face, 'H', FT_LOAD_NO_SCALE) == 0) {
      share = static_cast<double>(face->glyph->metrics.horiBearingY) / height;
    }
    FT_Done_Face(face);
  }
  FT_Done_FreeType(library);
  return share;
}

ImFont* load(const std::string& path, float size_px, const ImWchar* glyphs) {
  ImGuiIO& io = ImGui::GetIO();
  ImFontConfig config;
  config.SizePixels = std::floor(size_px);  // text at whole pixels is sharp
  if (path.empty()) {
    return io.Fonts->AddFontDefault(&config);
  }
  return io.Fonts->AddFontFromFileTTF(path.c_str(), config.SizePixels, &config, glyphs);
}

/// Rows of a capital's picture that are more ink than ground. The picture may have a row more,
/// which the letter only touches; that differs from one version of the letters to the next.
float inked_rows(const ImFont& font) {
  unsigned char* pixels = nullptr;
  int width = 0;
  int height = 0;
  ImGui::GetIO().Fonts->GetTexDataAsAlpha8(&pixels, &width, &height);
  const ImFontGlyph* const glyph = font.FindGlyph('H');
  const auto at = [](float share, int whole) {
    return static_cast<int>(share * static_cast<float>(whole) + 0.5F);
  };
  constexpr unsigned char kHalf = 127;
  float rows = 0.0F;
  for (int y = at(glyph->V0, height); y < at(glyph->V1, height); ++y) {
    const unsigned char* const row = pixels + static_cast<std::ptrdiff_t>(y) * width;
    const bool is_inked = std::any_of(row + at(glyph->U0, width),
                                      row + at(glyph->U1, width),
                                      [](unsigned char pixel) { return pixel > kHalf; });
    rows += is_inked ? 1.0F : 0.0F;
  }
  return rows;
}

}  // namespace

float Theme::cap_px(const ImFont& font) const {
  return caps_px.at(&font);
}

ImU32 state_colour(detector::RingState state) noexcept {
  switch (state) {
    case detector::RingState::kBuilding:
      return colour::kOrange;
    case detector::RingState::kRinging:
      return colour::kVermilion;
    case detector::RingState::kFading:
      return colour::kSky;
    case detector::RingState::kGone:
    case detector::RingState::kWithdrawn:
      break;
  }
  return colour::kQuiet;
}

ImU32 with_alpha(ImU32 colour, float alpha) noexcept {
  const auto share = static_cast<ImU32>(255.0F * alpha);
  return (colour & ~IM_COL32_A_MASK) | (share << IM_COL32_A_SHIFT);
}

Theme load_theme(float scale) {
  static const FontFiles fonts = find_fonts();
  ImGuiIO& io = ImGui::GetIO();
  io.Fonts->Clear();
  io.Fonts->FontBuilderIO = ImGuiFreeType::GetBuilderForFreeType();
  io.Fonts->FontBuilderFlags = ImGuiFreeTypeBuilderFlags_LightHinting;
  Theme theme;
  theme.scale = scale;
  theme.body = load(fonts.regular, 16.0F * scale, kLetters.data());
  theme.strong = load(fonts.semibold, 16.0F * scale, kLetters.data());
  theme.small = load(fonts.regular, 15.0F * scale, kLetters.data());
  theme.title = load(fonts.semibold, 22.0F * scale, kLetters.data());
  static const double share = cap_share(fonts.semibold);
  theme.seen = {{{10.0}, {13.0}, {kLeastArcMin}, {kPreferredArcMin}, {kFirstArcMin}, {45.0, true}}};
  for (SeenFont& one : theme.seen) {
    const double most_px = one.has_digits_alone ? kHighestDigitPx : kHighestCapitalPx;
    const double cap_px =
        std::min(std::ceil(px_of_arc(one.arc_min) * static_cast<double>(scale)), most_px);
    one.font = load(fonts.semibold,
                    static_cast<float>(std::ceil(cap_px / share)),
                    one.has_digits_alone ? kFrequencySigns.data() : kSigns.data());
  }
  for (const ImFont* font : io.Fonts->Fonts) {
    theme.caps_px[font] = inked_rows(*font);
  }

  ImGuiStyle& style = ImGui::GetStyle();
  style = ImGuiStyle();
  ImGui::StyleColorsDark(&style);
  style.ScaleAllSizes(scale);
  style.AntiAliasedLinesUseTex = true;
  style.FrameRounding = 4.0F * scale;
  style.WindowRounding = 0.0F;
  style.WindowBorderSize = 0.0F;
  style.WindowPadding = ImVec2(0.0F, 0.0F);
  style.Colors[ImGuiCol_Text] = ImGui::ColorConvertU32ToFloat4(colour::kText);
  style.Colors[ImGuiCol_WindowBg] = ImGui::ColorConvertU32ToFloat4(colour::kGround);
  style.Colors[ImGuiCol_FrameBg] = ImGui::ColorConvertU32ToFloat4(colour::kCardLit);
  style.Colors[ImGuiCol_NavHighlight] = ImGui::ColorConvertU32ToFloat4(colour::kYellow);
  return theme;
}

}  // namespace brink::panel
