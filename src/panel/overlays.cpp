#include "panel/overlays.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/units.h"
#include "listen/sound_meter.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "panel/live/shown_tap.h"

namespace brink::panel {
namespace {

struct Line {
  const char* left;
  const char* right;
};

void draw_table(Rect area, std::span<const Line> lines, float column, const Theme& theme) {
  for (const Line& line : lines) {
    const Rect row = area.take_top(theme.px(25.0F));
    draw_text(theme.strong, row.left, row.top, colour::kYellow, line.left);
    draw_text(theme.body, row.left + column, row.top, colour::kText, line.right);
  }
}

}  // namespace

Rect draw_overlay_page(
    const Rect& area, const Theme& theme, float width, float height, const char* heading) {
  canvas().AddRectFilled(
      ImVec2(area.left, area.top), ImVec2(area.right, area.bottom), IM_COL32(0, 0, 0, 170));
  const float half_width = 0.5F * std::min(theme.px(width), area.width() - theme.px(20.0F));
  const float half_height = 0.5F * std::min(theme.px(height), area.height() - theme.px(20.0F));
  const Rect page{area.middle_x() - half_width,
                  area.middle_y() - half_height,
                  area.middle_x() + half_width,
                  area.middle_y() + half_height};
  draw_card(page, theme, colour::kCardLit);
  Rect inner = page.inset(theme.px(28.0F));
  const Rect head = inner.take_top(theme.px(44.0F));
  const float end =
      draw_text(theme.body, head.right, head.top, colour::kQuiet, "Esc closes", Align::kRight);
  draw_text(theme.title,
            head.left,
            head.top,
            colour::kText,
            shortened(theme.title, heading, head.width() - end - theme.px(20.0F)));
  return inner;
}

namespace {

/// What the words and keys of the pane Ring out mean.
void draw_ring_out_help(const Rect& area, const Theme& theme) {
  static constexpr auto kLines = std::to_array<Line>({
      {"A round",
       "fader up until it rings, fader down, cut, fader up again. The card says what next."},
      {"Space",
       "logs the cut of the lit card. The simulated stage takes it; yours you set by hand."},
      {"a free band",
       "a band of the target that no cut uses yet. Without one, a cut near by changes."},
      {"sets 8 bands", "the whole equaliser anew: every band is listed before Space changes it."},
      {"X  not a ring",
       "it was music. Nothing at this place is offered again in this show; U takes that back."},
      {"G  let it go", "no cut for it now. It is offered again as soon as it rings again."},
      {"R  came back", "you hear the last round's ring again: how much that round won is noted."},
      {"D, Z, Y", "edit a cut; undo; redo. Neither undo nor redo moves a fader."},
      {"\u2191\u2193 \u2190\u2192, F",
       "the fader by 1 dB, by 0.5 dB; F types where it stands. brink moves nothing up."},
      {"B", "backs off by a margin and ends the output; again goes on with it."},
      {"N, O", "the next output; all outputs, and a new show."},
      {"L", "the last check: all outputs open, 10 s of sound. Any change after it voids it."},
      {"S", "writes the sheet, once every output is ended. Earlier, the pane Book (6) writes it."},
  });
  const Rect inner = draw_overlay_page(area, theme, 860.0F, 455.0F, "What is what: ring out");
  draw_table(inner, kLines, theme.px(140.0F), theme);
}

}  // namespace

void draw_help(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  if (context.view.pane == PaneId::kRingOut) {
    draw_ring_out_help(area, theme);
    return;
  }
  static constexpr auto kLines = std::to_array<Line>({
      {"The map", "every point is a tone: across its frequency, up how fast it grows."},
      {"The brink", "0 dB/s. What stays above it feeds back sooner or later."},
      {"Triangle up", "building: grows like a ring, not flagged yet: no cut."},
      {"Circle", "ringing: flagged. Its row says what to cut."},
      {"Triangle down", "fading: the cut works, or the fader went down."},
      {"Cross", "gone."},
      {"The strip", "the last 20 seconds; bright is loud, lines are rings."},
      {"1 to 7", "the panes, as named at the foot."},
      {"I, T", "what to listen to; which equaliser cuts are fitted to."},
      {"H", "hides every frequency, to train the ear; again shows them."},
      {"+, -", "larger and smaller letters."},
      {"In Ring out", "? explains that pane's own words and keys."},
      {"F12", "a picture of this window, as PNG in the folder brink was started in."},
  });
  const Rect inner = draw_overlay_page(area, theme, 760.0F, 455.0F, "What is what");
  draw_table(inner, kLines, theme.px(140.0F), theme);
}

std::string exposure_words(const listen::TapSnapshot& tap) {
  if (!tap.sound) {
    return "Sound pressure is told here for a calibrated microphone (brink calibrate).";
  }
  const auto db = [](double level_db) {
    return level_db > base::kSilenceDb ? fmt::format("{:.1f} dB", level_db) : std::string("silent");
  };
  const show::SoundLevels& sound = *tap.sound;
  return fmt::format(
      "At the microphone, LAeq of the last second {}, of the last 15 minutes {}, of all {} that "
      "were "
      "heard {}. That is {:.1f} % of what one day allows.",
      db(sound.one_second_db),
      db(sound.fifteen_minutes_db),
      clock_words(sound.heard_s),
      db(sound.since_start_db),
      100.0 * listen::dose_share(sound));
}

void draw_exposure_guide(const Rect& area, Context& context) {
  // Sources: NIOSH recommended exposure limit, 85 dBA over 8 h with a 3 dB exchange rate (t = 480
  // min / 2^((L - 85) / 3)); WHO, Global standard for safe listening venues and events, 2022.
  static constexpr auto kLines = std::to_array<Line>({
      {"85 dBA", "8 hours"},
      {"88 dBA", "4 hours"},
      {"91 dBA", "2 hours"},
      {"94 dBA", "1 hour"},
      {"97 dBA", "30 minutes"},
      {"100 dBA", "15 minutes"},
      {"106 dBA", "less than 4 minutes"},
      {"112 dBA", "less than 1 minute"},
  });
  const Theme& theme = context.theme;
  Rect inner = draw_overlay_page(area, theme, 720.0F, 520.0F, "How long at which level");
  draw_table(inner.take_top(theme.px(25.0F) * kLines.size() + theme.px(10.0F)),
             kLines,
             theme.px(140.0F),
             theme);
  constexpr const char* kWords =
      "In one day, for ears without protection (NIOSH: 85 dBA for 8 hours, half the time for each "
      "3 dB more). Venues should stay below 100 dB LAeq over 15 minutes (WHO, 2022). Feedback gets "
      "far louder within a second: keep a hand on the fader, protect your ears, warn whoever "
      "stands near. Local rules and qualified people come first.";
  inner.take_top(
      draw_wrapped(theme.body, inner.left, inner.top, inner.width(), colour::kText, kWords) +
      theme.px(12.0F));
  draw_wrapped(theme.body,
               inner.left,
               inner.top,
               inner.width(),
               colour::kYellow,
               exposure_words(shown_tap(context.desk.snapshot(), context.view)));
}

}  // namespace brink::panel
