#include "panel/sweep/sweep_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <vector>

#include "base/printable.h"
#include "panel/draw/draw.h"
#include "panel/draw/first_step.h"
#include "panel/live/shown_tap.h"
#include "panel/sweep/sweep_cards.h"
#include "panel/sweep/sweep_form.h"
#include "panel/sweep/sweep_plot.h"
#include "report/sweep_record.h"

namespace brink::panel {
namespace {

constexpr float kCardsWidth = 400.0F;
constexpr std::size_t kShownWarnings = 3;

std::string capitalised(std::string words) {
  if (!words.empty()) {
    words[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(words[0])));
  }
  return words;
}

void describe_report(const report::SweepReport& report, Facts& facts) {
  facts.add("delay_known", report.is_delay_known);
  facts.add("stable_gain_db", report.forecast.stable_gain_db);
  if (!report.forecast.rings.empty()) {
    facts.add("first_hz", report.forecast.rings.front().frequency_hz);
  }
  facts.add("bands", static_cast<double>(report.loop.bands.size()));
  facts.add("plan_target", report.plan.target.name);
  facts.add("plan_cuts", static_cast<double>(report.plan.plan.moves.size()));
  facts.add("won_db", report.won_least_db);
  facts.add("plan_sound", cuts::to_word(report.plan.sound));
  facts.add("audible_cuts", static_cast<double>(cuts::audible_count(report.plan.plan.setting())));
  facts.add("measured_level_dbfs", report.level_dbfs);
  std::string warnings;
  for (const std::string& warning : report.warnings) {
    warnings += (warnings.empty() ? "" : "\n") + warning;
  }
  facts.add("warnings", warnings);
}

}  // namespace

void SweepPane::follow(Context& context) {
  work_.follow(context.desk, shown_channel(context.desk.snapshot(), context.view));
  const bool is_here =
      context.view.pane == PaneId::kSweep && context.view.overlay == Overlay::kNone;
  work_.hold(is_here && !form_.is_open() && context.input.has_focus && context.input.is_space_held,
             context.input.at_space_release);
  if (context.view.pane != PaneId::kSweep) {
    work_.close();
  }
}

void SweepPane::offer_actions(Context& context) {
  Actions& actions = context.actions;
  actions.show("Space", "play while held");
  if (actions.offer("L", "louder")) {
    work_.step_level(1);
  }
  if (actions.offer("Q", "quieter")) {
    work_.step_level(-1);
  }
  if (actions.offer("S", "how much is heard")) {
    work_.step_sound();
  }
  keep(context);
  if (actions.offer("D", work_.is_on_stage() ? "lengths and ceiling" : "what is known")) {
    ask_sweep_settings(form_, work_);
  }
}

/// The last sweep becomes a round of the output that is rung out, and its plan the equaliser.
void SweepPane::keep(Context& context) {
  show::RingOut& flow = context.show.flow();
  const bool is_new = work_.report() && kept_count_ != work_.report_count();
  if (is_new && context.actions.offer("K", "keep as a round")) {
    if (flow.output() == nullptr) {
      words_ = "Name the output first: pane Ring out (2), N. Then keep it here.";
    } else if (flow.log_sweep(report::to_record(*work_.report(), work_.made_at()))) {
      kept_count_ = work_.report_count();
      words_ = fmt::format("Logged as a round of {}: its equaliser is this plan now.",
                           base::printable(flow.output()->name));
    }
  }
  if (flow.undo_what() == "the sweep" && context.actions.offer("Z", "undo the round")) {
    flow.undo();
    kept_count_ = 0;
    words_ = "The round and its cuts are taken back.";
  }
}

/// Under the plots; takes itself off the area.
void SweepPane::draw_warnings(Rect& area, const Theme& theme) const {
  std::vector<std::string> lines;
  if (const std::string fault = work_.fault(); !fault.empty()) {
    lines.push_back(capitalised(fault));
  }
  if (!words_.empty() && lines.empty()) {
    lines.push_back(words_);
  }
  if (work_.report()) {
    const auto& warnings = work_.report()->warnings;
    const std::size_t room = kShownWarnings - lines.size();
    lines.insert(lines.end(),
                 warnings.begin(),
                 warnings.begin() + static_cast<std::ptrdiff_t>(std::min(room, warnings.size())));
  }
  for (auto line = lines.rbegin(); line != lines.rend(); ++line) {
    const ImVec2 size =
        theme.body->CalcTextSizeA(theme.body->FontSize, 1e9F, area.width(), line->c_str());
    const Rect place = area.take_bottom(size.y + theme.px(6.0F));
    draw_wrapped(
        theme.body, place.left, place.top + theme.px(3.0F), place.width(), colour::kOrange, *line);
  }
}

void SweepPane::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  if (!form_.is_open()) {
    offer_actions(context);
  }
  Rect left = area;
  Rect right = left.take_right(theme.px(kCardsWidth));
  left.take_right(theme.px(16.0F));
  draw_warnings(left, theme);
  if (!work_.report()) {
    draw_first_step(left,
                    work_.is_shut() ? "Space" : "C",
                    work_.is_shut() ? "held: sweeps." : "says: microphone's own path closed.",
                    0.25F * left.height(),
                    theme);
  }
  draw_sweep_plots(left, work_, context.view.hides_answers, theme);
  if (draw_sweep_card(right, work_, context.actions, theme)) {
    work_.say_shut(!work_.is_shut());
  }
  if (work_.report() && context.view.hides_answers) {
    draw_text(theme.body,
              right.left,
              right.top + theme.px(10.0F),
              colour::kQuiet,
              "Answers are hidden; H shows them.");
  } else if (work_.report()) {
    draw_sweep_forecast(right, work_, theme);
  } else {
    draw_sweep_cautions(right, work_, theme);
  }
  if (form_.is_open()) {
    form_.draw(area, context);
  }
}

void SweepPane::describe(Facts& facts) const {
  facts.add("state", sweep_state_words(work_));
  facts.add("is_shut", work_.is_shut());
  facts.add("is_playing", work_.state() == desk::SweepWork::State::kPlaying);
  facts.add("progress", work_.progress());
  facts.add("level_dbfs", work_.level_dbfs());
  facts.add("length_s", work_.length_s());
  facts.add("fault", work_.fault());
  facts.add("form", form_.is_open() ? form_.heading() : std::string());
  facts.add("form_fault", form_.fault());
  facts.add("words", words_);
  facts.add("is_kept", work_.report() && kept_count_ == work_.report_count());
  facts.add("reports", static_cast<double>(work_.report_count()));
  if (work_.report()) {
    describe_report(*work_.report(), facts);
  }
}

}  // namespace brink::panel
