#include "panel/draw/theme.h"

#include <fontconfig/fontconfig.h>
#include <imgui_freetype.h>

#include <array>
#include <cmath>
#include <string>

namespace brink::panel {
namespace {

/// The file of the font that is nearest to the pattern. Empty when the system has no fonts.
std::string find_font(const char* pattern_text) {
  std::string path;
  FcPattern* const pattern = FcNameParse(reinterpret_cast<const FcChar8*>(pattern_text));
  FcConfigSubstitute(nullptr, pattern, FcMatchPattern);
  FcDefaultSubstitute(pattern);
  FcResult result = FcResultNoMatch;
  FcPattern* const match = FcFontMatch(nullptr, pattern, &result);
  FcChar8* file = nullptr;
  if (match != nullptr && FcPatternGetString(match, FC_FILE, 0, &file) == FcResultMatch) {
    path = reinterpret_cast<const char*>(file);
  }
  if (match != nullptr) {
    FcPatternDestroy(match);
  }
  FcPatternDestroy(pattern);
  return path;
}

// Latin with accents, dashes and quotes, arrows, minus and comparison signs, sharp and flat.
constexpr std::array<ImWchar, 13> kSigns{
    0x20, 0x17F, 0x2010, 0x2026, 0x2190, 0x2193, 0x2212, 0x2212, 0x2264, 0x2265, 0x266D, 0x266F, 0};
// With Greek and Cyrillic too, for text that people type. A character that the font lacks shows as
// "?".
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

ImFont* load(const std::string& path, float size_px, const ImWchar* glyphs) {
  ImGuiIO& io = ImGui::GetIO();
  ImFontConfig config;
  config.SizePixels = std::floor(size_px);  // text at whole pixels is sharp
  if (path.empty()) {
    return io.Fonts->AddFontDefault(&config);
  }
  return io.Fonts->AddFontFromFileTTF(path.c_str(), config.SizePixels, &config, glyphs);
}

}  // namespace

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
  static const std::string regular = find_font("Inter:weight=80");
  static const std::string semibold = find_font("Inter:weight=180");
  ImGuiIO& io = ImGui::GetIO();
  io.Fonts->Clear();
  io.Fonts->FontBuilderIO = ImGuiFreeType::GetBuilderForFreeType();
  io.Fonts->FontBuilderFlags = ImGuiFreeTypeBuilderFlags_LightHinting;
  Theme theme;
  theme.scale = scale;
  theme.body = load(regular, 16.0F * scale, kLetters.data());
  theme.strong = load(semibold, 16.0F * scale, kLetters.data());
  theme.small = load(regular, 15.0F * scale, kLetters.data());
  theme.title = load(semibold, 22.0F * scale, kLetters.data());
  theme.huge = load(semibold, 40.0F * scale, kSigns.data());

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
