#include "panel/draw/level_meter.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/seen.h"

namespace brink::panel {
namespace {

constexpr double kLowestDbfs = -60.0;
constexpr double kUsualDbfs = -12.0;

struct Hint {
  std::string words;
  ImU32 paint;
};

/// ", 86 dBA" for a calibrated microphone: LAeq of the last second.
std::string sound_words(const listen::TapSnapshot& tap) {
  return tap.sound && tap.sound->one_second_db > base::kSilenceDb
             ? fmt::format(", {:.0f} dBA", tap.sound->one_second_db)
             : std::string();
}

Hint hint_for(const listen::TapSnapshot& tap, io::InputHealth health) {
  const listen::InputLevel& level = tap.level;
  if (health != io::InputHealth::kRunning) {
    return {"no input", colour::kVermilion};
  }
  if (level.is_silent || level.peak_dbfs <= base::kSilenceDb) {
    return {"no signal", colour::kVermilion};
  }
  if (level.is_clipping) {
    return {"clips: less gain", colour::kVermilion};
  }
  if (level.is_too_quiet) {
    return {"too quiet: more gain", colour::kOrange};
  }
  return {fmt::format("{:.0f} dBFS{}", level.peak_dbfs, sound_words(tap)), colour::kText};
}

/// Green where all is well; a ring is never that, however quiet.
ImU32 level_paint(const listen::InputLevel& level, bool is_ringing) {
  return level.is_clipping || is_ringing ? colour::kVermilion
         : level.peak_dbfs > kUsualDbfs  ? colour::kOrange
                                         : colour::kGreen;
}

/// The level, or what is wrong, in large letters; in a line below what is to do about it, or dBA.
void draw_words(const Rect& place, const Hint& hint, SeenSizes& seen, const Theme& theme) {
  const std::size_t colon = hint.words.find_first_of(":,");
  const std::string large = hint.words.substr(0, colon);
  const std::string small = colon == std::string::npos ? "" : hint.words.substr(colon + 2);
  const float most = small.empty() ? 1.1F * place.height() : 0.94F * place.height();
  const SeenText text = lay_seen(theme, large, place.width(), most, kLeastArcMin);
  const float below = small.empty() ? 0.0F : theme.px(7.0F);
  draw_seen(text, place.left, place.middle_y() - below - 0.5F * text.height(), hint.paint);
  seen.note(Acted::kLevel, *text.font);
  draw_text(theme.small, place.left, place.bottom - theme.small->FontSize, hint.paint, small);
}

}  // namespace

std::string level_words(const listen::TapSnapshot& tap, io::InputHealth health) {
  return hint_for(tap, health).words;
}

float level_words_width(const Theme& theme) noexcept {
  return theme.px(294.0F);
}

void draw_level_meter(const Rect& area,
                      const listen::TapSnapshot& tap,
                      io::InputHealth health,
                      bool is_ringing,
                      SeenSizes& seen,
                      const Theme& theme) {
  Rect bar = area;
  const Rect place = bar.take_right(level_words_width(theme));
  bar.take_right(theme.px(14.0F));
  const auto x_of = [&](double level_dbfs) {
    const double share = std::clamp(1.0 - level_dbfs / kLowestDbfs, 0.0, 1.0);
    return bar.left + bar.width() * static_cast<float>(share);
  };
  const float half = theme.px(8.0F);
  const float y = area.middle_y();
  canvas().AddRectFilled(
      ImVec2(bar.left, y - half), ImVec2(bar.right, y + half), colour::kCardLit, theme.px(3.0F));
  const Hint hint = hint_for(tap, health);
  if (health == io::InputHealth::kRunning && tap.level.peak_dbfs > kLowestDbfs) {
    canvas().AddRectFilled(ImVec2(bar.left, y - half),
                           ImVec2(x_of(tap.level.peak_dbfs), y + half),
                           level_paint(tap.level, is_ringing),
                           theme.px(3.0F));
  }
  const float mark = x_of(kUsualDbfs);
  canvas().AddLine(ImVec2(mark, y - half - theme.px(3.0F)),
                   ImVec2(mark, y + half + theme.px(3.0F)),
                   colour::kText,
                   theme.px(2.0F));
  draw_text(theme.small,
            mark - theme.px(6.0F),
            y - 0.5F * theme.small->FontSize,
            colour::kText,
            "-12",
            Align::kRight);
  draw_words(place, hint, seen, theme);
}

}  // namespace brink::panel
