#include "sheet/drawing.h"

#include <algorithm>
#include <cmath>

#include "sheet/text.h"

namespace brink::sheet {
namespace {

// The first is for paper and wide screens, the second for a phone of 360 pixels.
constexpr double kWideWidth = 720.0;
constexpr double kNarrowWidth = 332.0;

}  // namespace

std::string mark_svg(Mark mark, double x, double y, double size) {
  const double s = size;
  switch (mark) {
    case Mark::kDisc:
      return fmt::format(R"(<circle class="calm" cx="{:.2f}" cy="{:.2f}" r="{:.2f}"/>)", x, y, s);
    case Mark::kTriangle:
      return fmt::format(R"(<path class="ring" d="M{:.2f} {:.2f}l{:.2f} {:.2f}h{:.2f}z"/>)",
                         x,
                         y - 1.2 * s,
                         1.2 * s,
                         2.1 * s,
                         -2.4 * s);
    case Mark::kDiamond:
      return fmt::format(
          R"(<path class="open" d="M{0:.2f} {1:.2f}l{2:.2f} {2:.2f}l{3:.2f} {2:.2f}l{3:.2f} {3:.2f}z"/>)",
          x,
          y - 1.2 * s,
          1.2 * s,
          -1.2 * s);
    case Mark::kCross:
      return fmt::format(
          R"(<path class="cross" d="M{0:.2f} {1:.2f}l{2:.2f} {2:.2f}m{3:.2f} 0l{2:.2f} {3:.2f}"/>)",
          x - 0.9 * s,
          y - 0.9 * s,
          1.8 * s,
          -1.8 * s);
    case Mark::kSquare:
      return fmt::format(
          R"(<rect class="still" x="{:.2f}" y="{:.2f}" width="{:.2f}" height="{:.2f}"/>)",
          x - 0.9 * s,
          y - 0.9 * s,
          1.8 * s,
          1.8 * s);
  }
  return {};
}

Drawing::Drawing(std::string_view name,
                 PictureWidth width,
                 double height,
                 std::string_view title,
                 std::string_view description)
    : is_narrow_(width == PictureWidth::kNarrow),
      width_(is_narrow_ ? kNarrowWidth : kWideWidth),
      height_(height) {
  add("<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-labelledby=\"{0}-t {0}-d\" "
      "viewBox=\"0 0 {1:.0f} {2:.0f}\">\n<title id=\"{0}-t\">{3}</title>\n"
      "<desc id=\"{0}-d\">{4}</desc>\n",
      fmt::format("{}-{}", name, is_narrow_ ? "narrow" : "wide"),
      width_,
      height_,
      markup_safe(title),
      markup_safe(description));
}

void Drawing::text(
    double x, double y, const char* anchor, std::string_view words, const char* kind) {
  add(R"(<text x="{:.1f}" y="{:.1f}" text-anchor="{}")", x, y, anchor);
  if (*kind != '\0') {
    add(R"( class="{}")", kind);
  }
  add(">{}</text>\n", markup_safe(words));
}

void Drawing::line(const char* kind, double x1, double y1, double x2, double y2) {
  add("<line class=\"{}\" x1=\"{:.2f}\" y1=\"{:.2f}\" x2=\"{:.2f}\" y2=\"{:.2f}\"/>\n",
      kind,
      x1,
      y1,
      x2,
      y2);
}

std::string Drawing::finish() && {
  svg_ += "</svg>";
  return std::move(svg_);
}

double FrequencyAxis::x_of(double frequency_hz) const noexcept {
  if (!(frequency_hz > kLowestHz)) {
    return left;
  }
  const double share =
      std::log(std::min(frequency_hz, kHighestHz) / kLowestHz) / std::log(kHighestHz / kLowestHz);
  return left + share * (right - left);
}

void FrequencyAxis::draw(Drawing& drawing, double top, double bottom) const {
  for (const double f_hz : {20.0, 50.0, 100.0, 200.0, 500.0, 1e3, 2e3, 5e3, 1e4, 2e4}) {
    const double x = x_of(f_hz);
    drawing.add(
        "<line class=\"grid\" data-hz=\"{0:.0f}\" x1=\"{1:.2f}\" y1=\"{2:.2f}\" "
        "x2=\"{1:.2f}\" y2=\"{3:.2f}\"/>\n",
        f_hz,
        x,
        top,
        bottom);
    if (drawing.is_narrow() && f_hz == 10000.0) {
      continue;  // no room beside its neighbours
    }
    drawing.text(
        x,
        bottom + 15.0,
        f_hz == kHighestHz ? "end" : (f_hz == kLowestHz ? "start" : "middle"),
        f_hz < 1000.0 ? fmt::format("{:.0f}", f_hz) : fmt::format("{:.0f}k", f_hz / 1000.0));
  }
  drawing.text(0.5 * (left + right), bottom + 31.0, "middle", "frequency, Hz");
}

double LevelAxis::y_of(double value) const noexcept {
  const double legal = std::isfinite(value) ? std::clamp(value, lowest, highest) : lowest;
  return top + (highest - legal) / (highest - lowest) * (bottom - top);
}

void LevelAxis::draw(
    Drawing& drawing, double left, double right, double step, std::string_view unit) const {
  const auto first = static_cast<int>(std::ceil(lowest / step - 1e-9));
  const auto last = static_cast<int>(std::floor(highest / step + 1e-9));
  for (int line = first; line <= last; ++line) {
    const double value = step * line;
    drawing.add(
        "<line class=\"{0}\" data-value=\"{1:g}\" x1=\"{2:.2f}\" y1=\"{3:.2f}\" "
        "x2=\"{4:.2f}\" y2=\"{3:.2f}\"/>\n",
        line == 0 ? "zero" : "grid",
        value,
        left,
        y_of(value),
        right);
    drawing.text(left - 6.0, y_of(value) + 4.0, "end", written_number(value, step < 1.0 ? 1 : 0));
  }
  drawing.text(0.0, top - 9.0, "start", unit);
}

std::string key_entry(std::string_view mark, std::string_view words) {
  return fmt::format(
      R"(<span class="key"><svg aria-hidden="true" viewBox="0 0 18 14">{}</svg>{}</span> )",
      mark,
      words);
}

}  // namespace brink::sheet
