#include "panel/plots/live_plots.h"

#include "panel/ear/live_guess.h"
#include "panel/live/shown_tap.h"
#include "panel/plots/brink_map.h"
#include "panel/plots/spectrum_plot.h"
#include "panel/plots/tap_row.h"

namespace brink::panel {
namespace {

constexpr float kScaleWidth = 48.0F;
constexpr float kGap = 10.0F;
constexpr float kNamesHeight = 22.0F;
constexpr float kMapShare = 0.47F;
constexpr float kSpectrumShare = 0.26F;

}  // namespace

void draw_live_plots(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  if (context.view.hides_answers) {
    context.live_guess.draw(area, context);
    return;
  }
  const listen::TapSnapshot& tap = shown_tap(context.desk.snapshot(), context.view);
  Rect rest = area;
  rest.take_left(theme.px(kScaleWidth));
  const listen::Snapshot& snapshot = context.desk.snapshot();
  if (snapshot.taps.size() > 1) {
    const Rect row = rest.take_top(tap_row_height(snapshot, theme));
    rest.take_top(theme.px(kGap));
    if (const auto clicked = draw_tap_row(row,
                                          snapshot,
                                          context.view.tap_index,
                                          context.show.flow().rings().names(),
                                          context.actions,
                                          theme)) {
      const bool is_shown = context.view.tap_index == clicked;
      context.view.tap_index = is_shown ? std::nullopt : clicked;
    }
  }
  const float names_y = rest.take_bottom(theme.px(kNamesHeight)).top + theme.px(5.0F);
  const FrequencyAxis axis{rest.left, rest.right};
  const float height = rest.height();
  const Rect map = rest.take_top(height * kMapShare);
  rest.take_top(theme.px(kGap));
  const Rect spectrum = rest.take_top(height * kSpectrumShare);
  rest.take_top(theme.px(kGap));
  draw_brink_map(map, axis, tap, context.show.flow().rings(), context.trails, theme);
  draw_spectrum(spectrum,
                axis,
                context.desk.session().spectrum_hz(),
                tap.spectrum_dbfs,
                context.desk.equaliser(),
                !context.desk.is_stage()     ? EqualiserIs::kLogged
                : context.desk.has_cuts_in() ? EqualiserIs::kIn
                                             : EqualiserIs::kOut,
                context.desk.session().sample_rate_hz(),
                theme);
  context.strip.draw(rest, axis, theme);
  draw_octave_names(axis, names_y, theme);
}

}  // namespace brink::panel
