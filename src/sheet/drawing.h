#pragma once

#include <fmt/format.h>

#include <iterator>
#include <string>
#include <string_view>
#include <utility>

namespace brink::sheet {

/// A picture is drawn twice, for paper and wide screens and for a phone; the style sheet shows one.
enum class PictureWidth { kWide, kNarrow };

/// The shape of a mark tells what it stands for; the colour tells the same.
enum class Mark { kDisc, kTriangle, kDiamond, kCross, kSquare };

/// The mark as an SVG element, at a place, `size` from its middle to its rim.
[[nodiscard]] std::string mark_svg(Mark mark, double x, double y, double size = 5.0);

/// One inline SVG picture. Colours are classes of the page's style sheet, so that they follow paper
/// and dark screens.
class Drawing {
 public:
  /// `name` is unique in the page. Title and description are for those who do not see it; both are
  /// escaped here.
  Drawing(std::string_view name,
          PictureWidth width,
          double height,
          std::string_view title,
          std::string_view description);

  [[nodiscard]] bool is_narrow() const noexcept { return is_narrow_; }

  [[nodiscard]] double width() const noexcept { return width_; }

  [[nodiscard]] double height() const noexcept { return height_; }

  template <typename... Values>
  void add(fmt::format_string<Values...> form, Values&&... values) {
    fmt::format_to(std::back_inserter(svg_), form, std::forward<Values>(values)...);
  }

  void mark(Mark mark, double x, double y, double size = 5.0) {
    svg_ += mark_svg(mark, x, y, size) + '\n';
  }

  /// Escapes. `anchor`: "start", "middle" or "end".
  void text(double x, double y, const char* anchor, std::string_view words, const char* kind = "");

  void line(const char* kind, double x1, double y1, double x2, double y2);

  [[nodiscard]] std::string finish() &&;

 private:
  bool is_narrow_;
  double width_;
  double height_;
  std::string svg_;
};

/// 20 Hz to 20 kHz by equal ratios between two places.
struct FrequencyAxis {
  double left = 0.0;
  double right = 0.0;

  static constexpr double kLowestHz = 20.0;
  static constexpr double kHighestHz = 20000.0;

  /// Frequencies outside and numbers that are not finite go to the nearer end, or the left one.
  [[nodiscard]] double x_of(double frequency_hz) const noexcept;
  /// Grid lines between two heights, with labels under the lower one.
  void draw(Drawing& drawing, double top, double bottom) const;
};

/// A linear axis; larger values are higher.
struct LevelAxis {
  double top = 0.0;
  double bottom = 0.0;
  double highest = 0.0;
  double lowest = 0.0;

  [[nodiscard]] double y_of(double value) const noexcept;
  /// Grid lines at whole steps between two places, with labels left of them.
  void draw(Drawing& drawing, double left, double right, double step, std::string_view unit) const;
};

/// A picture in both widths with its caption (which is markup already). `draw` takes a
/// PictureWidth.
template <typename Draw>
[[nodiscard]] std::string figure(const Draw& draw, std::string_view caption) {
  return fmt::format(
      "<figure>\n<div class=\"wide\">{}</div>\n<div class=\"narrow\">{}</div>\n"
      "<figcaption>{}</figcaption>\n</figure>\n",
      draw(PictureWidth::kWide),
      draw(PictureWidth::kNarrow),
      caption);
}

/// An entry of a picture's key: a small picture of the mark and what it stands for.
[[nodiscard]] std::string key_entry(std::string_view mark, std::string_view words);

}  // namespace brink::sheet
