#pragma once

#include <imgui.h>

#include <array>
#include <cstdint>
#include <string_view>
#include <utility>
#include <vector>

#include "panel/draw/draw.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"

namespace brink::panel {

/// Letters that are read from where one works, not from where the laptop stands. This is the one
/// place that says from how far, and on which screen: a laptop of 14 inches with 1280 x 800 pixels,
/// 2 m away. ISO 9241-303 is commonly quoted with 16 minutes of arc as the least height of capitals
/// and 20 to 22 as preferred (from memory).
inline constexpr double kSeenFromMm = 2000.0;
inline constexpr double kScreenDiagonalMm = 14.0 * 25.4;
inline constexpr double kScreenWidthPx = 1280.0;
inline constexpr double kScreenHeightPx = 800.0;

inline constexpr double kLeastArcMin = 16.0;      ///< what one acts on
inline constexpr double kPreferredArcMin = 22.0;  ///< the same where there is room
inline constexpr double kFirstArcMin = 30.0;      ///< frequency of the first ring

/// How many pixels high something is that is seen under so many minutes of arc, and back.
[[nodiscard]] double px_of_arc(double arc_min) noexcept;
[[nodiscard]] double arc_of_px(double height_px) noexcept;

/// What one acts on.
enum class Acted : std::uint8_t { kFrequency, kCut, kInstruction, kFader, kLevel, kAnnouncement };

/// How large it was drawn in the present pass.
class SeenSizes {
 public:
  static constexpr std::size_t kCount = 6;

  /// `theme` has the fonts of this pass.
  void begin(const Theme& theme) noexcept {
    theme_ = &theme;
    cap_px_.fill(0.0F);
  }

  /// Of several of a kind the largest counts: the first ring's.
  void note(Acted what, const ImFont& font);

  /// 0: it was not drawn.
  [[nodiscard]] float cap_px(Acted what) const noexcept {
    return cap_px_[static_cast<std::size_t>(what)];
  }

 private:
  const Theme* theme_ = nullptr;
  std::array<float, kCount> cap_px_{};
};

[[nodiscard]] const char* to_word(Acted what) noexcept;

/// A text as it will stand: its letters, and its lines as parts of the text.
struct SeenText {
  ImFont* font = nullptr;
  std::vector<std::string_view> lines;

  /// From one line to the next: large letters need less between them than small ones.
  [[nodiscard]] float line_height() const noexcept { return 0.87F * font->FontSize; }

  [[nodiscard]] float height() const noexcept {
    return line_height() * static_cast<float>(lines.size());
  }

  [[nodiscard]] float width() const;
};

/// The largest letters up to `most_arc_min` in which the text has room, in one line or several; the
/// smallest where there is none. The text must outlive what is returned.
[[nodiscard]] SeenText lay_seen(
    const Theme& theme, std::string_view text, float width, float height, double most_arc_min);

/// Draws it with its upper edge at `y`. Lines begin, or with Align::kRight end, at `x`.
void draw_seen(const SeenText& text, float x, float y, ImU32 colour, Align align = Align::kLeft);

}  // namespace brink::panel
