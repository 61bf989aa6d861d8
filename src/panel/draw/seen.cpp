#include "panel/draw/seen.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>

namespace brink::panel {
namespace {

double pixel_mm() noexcept {
  return kScreenDiagonalMm / std::hypot(kScreenWidthPx, kScreenHeightPx);
}

constexpr double kMinutesPerRadian = 60.0 * 180.0 / std::numbers::pi;

/// A number stays with its unit, and Q with its number.
bool belongs_together(std::string_view before, std::string_view after) {
  return before == "Q" || after.starts_with("dB") || after.starts_with("Hz") ||
         after.starts_with("kHz");
}

/// What may begin a line, from first to last: parts of the text.
std::vector<std::string_view> words_of(std::string_view text) {
  std::vector<std::string_view> words;
  std::string_view last;
  std::size_t at = 0;
  while ((at = text.find_first_not_of(' ', at)) != std::string_view::npos) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string_view word = text.substr(at, end - at);
    if (!words.empty() && belongs_together(last, word)) {
      words.back() = {words.back().data(),
                      static_cast<std::size_t>(word.data() + word.size() - words.back().data())};
    } else {
      words.push_back(word);
    }
    last = word;
    at = end;
  }
  return words;
}

std::vector<std::string_view> wrap(ImFont* font,
                                   std::span<const std::string_view> words,
                                   float width) {
  std::vector<std::string_view> lines;
  for (const std::string_view word : words) {
    if (!lines.empty()) {
      const std::string_view line = lines.back();
      const std::string_view longer{
          line.data(), static_cast<std::size_t>(word.data() + word.size() - line.data())};
      if (text_width(font, longer) <= width) {
        lines.back() = longer;
        continue;
      }
    }
    lines.push_back(word);
  }
  return lines;
}

}  // namespace

double px_of_arc(double arc_min) noexcept {
  return 2.0 * kSeenFromMm * std::tan(0.5 * arc_min / kMinutesPerRadian) / pixel_mm();
}

double arc_of_px(double height_px) noexcept {
  return 2.0 * std::atan(0.5 * height_px * pixel_mm() / kSeenFromMm) * kMinutesPerRadian;
}

void SeenSizes::note(Acted what, const ImFont& font) {
  float& height = cap_px_[static_cast<std::size_t>(what)];
  height = std::max(height, theme_->cap_px(font));
}

const char* to_word(Acted what) noexcept {
  constexpr std::array<const char*, SeenSizes::kCount> kWords{
      "frequency", "cut", "instruction", "fader", "level", "announcement"};
  return kWords[static_cast<std::size_t>(what)];
}

float SeenText::width() const {
  float widest = 0.0F;
  for (const std::string_view line : lines) {
    widest = std::max(widest, text_width(font, line));
  }
  return widest;
}

SeenText lay_seen(
    const Theme& theme, std::string_view text, float width, float height, double most_arc_min) {
  const std::vector<std::string_view> words = words_of(text);
  const auto fits = [&](ImFont* font) {
    SeenText laid{font, wrap(font, words, width)};
    return laid.height() <= height && laid.width() <= width ? laid : SeenText();
  };
  for (auto size = theme.seen.rbegin(); size != theme.seen.rend(); ++size) {
    if (size->arc_min > most_arc_min || !theme.can_write(*size, text)) {
      continue;
    }
    if (SeenText laid = fits(size->font); laid.font != nullptr) {
      return laid;
    }
  }
  if (SeenText laid = fits(theme.title); laid.font != nullptr) {
    return laid;
  }
  return {theme.strong, wrap(theme.strong, words, width)};
}

void draw_seen(const SeenText& text, float x, float y, ImU32 colour, Align align) {
  // The space above capitals goes with the space between lines.
  float top = y - 0.5F * (text.font->FontSize - text.line_height());
  for (const std::string_view line : text.lines) {
    draw_text(text.font, x, top, colour, line, align);
    top += text.line_height();
  }
}

}  // namespace brink::panel
