#pragma once

#include <imgui.h>

#include <array>
#include <map>
#include <string_view>

#include "detector/ring.h"

namespace brink::panel {

/// Colours with a meaning are from M. Okabe, K. Ito, "Color Universal Design" (2008); the rest is
/// grey. A state is never shown by colour alone: see draw_state_mark().
namespace colour {
inline constexpr ImU32 kGround = IM_COL32(14, 16, 20, 255);
inline constexpr ImU32 kPlot = IM_COL32(19, 22, 27, 255);
inline constexpr ImU32 kOverBrink = IM_COL32(33, 27, 25, 255);
inline constexpr ImU32 kCard = IM_COL32(24, 28, 34, 255);
inline constexpr ImU32 kCardLit = IM_COL32(34, 39, 47, 255);
inline constexpr ImU32 kGrid = IM_COL32(42, 47, 55, 255);
inline constexpr ImU32 kText = IM_COL32(238, 236, 230, 255);
inline constexpr ImU32 kQuiet = IM_COL32(160, 166, 174, 255);
inline constexpr ImU32 kTrack = IM_COL32(140, 148, 158, 255);
inline constexpr ImU32 kOrange = IM_COL32(230, 159, 0, 255);
inline constexpr ImU32 kSky = IM_COL32(86, 180, 233, 255);
inline constexpr ImU32 kGreen = IM_COL32(0, 158, 115, 255);
inline constexpr ImU32 kYellow = IM_COL32(240, 228, 66, 255);
// Lighter than the original, for text on dark.
inline constexpr ImU32 kVermilion = IM_COL32(232, 104, 26, 255);
inline constexpr ImU32 kPurple = IM_COL32(204, 121, 167, 255);
}  // namespace colour

/// Colour of a ring in that state.
[[nodiscard]] ImU32 state_colour(detector::RingState state) noexcept;
/// The colour with another opacity, 0 to 1.
[[nodiscard]] ImU32 with_alpha(ImU32 colour, float alpha) noexcept;

/// Letters whose capitals are at least so high, as draw/seen.h computes it, at scale 1.
struct SeenFont {
  double arc_min = 0.0;
  bool has_digits_alone = false;  ///< only what a frequency is written with: larger ones are large
  ImFont* font = nullptr;
};

/// Fonts and sizes for one interface scale.
struct Theme {
  static constexpr float kSmallestScale = 1.0F;
  static constexpr float kLargestScale = 3.0F;

  float scale = 1.0F;
  ImFont* body = nullptr;
  ImFont* strong = nullptr;
  ImFont* small = nullptr;
  ImFont* title = nullptr;
  std::array<SeenFont, 6> seen;  ///< rising

  /// The height of a capital letter as it is drawn, in pixels: rows of its picture that have ink.
  /// `font` is one of the above.
  [[nodiscard]] float cap_px(const ImFont& font) const;

  std::map<const ImFont*, float> caps_px;  ///< measured by load_theme()

  /// Whether that font has all letters of the text.
  [[nodiscard]] static bool can_write(const SeenFont& font, std::string_view text) noexcept {
    return !font.has_digits_alone || text.find_first_not_of(" .0123456789?Hkz") == text.npos;
  }

  /// Pixels for a length that is given at scale 1.
  [[nodiscard]] float px(float at_one) const noexcept { return at_one * scale; }
};

/// Loads the fonts for that scale into the present ImGui context and sets its style. Make the font
/// texture again afterwards.
[[nodiscard]] Theme load_theme(float scale);

}  // namespace brink::panel
