// What the keys of the Ring out pane do. While answers are hidden, the arrows to the sides belong
// to the guess that stands in the place of the plots.

#include <fmt/format.h>

#include <algorithm>
#include <chrono>

#include "base/printable.h"
#include "panel/book/sheet_file.h"
#include "panel/live/offered_cards.h"
#include "panel/ring_out/ring_out_forms.h"
#include "panel/ring_out/ring_out_pane.h"
#include "panel/window/now.h"

namespace brink::panel {
namespace {

constexpr double kStepDb = 1.0;
constexpr double kFineStepDb = 0.5;

using Kind = show::Proposal::Kind;

/// The next output that is still open, after the chosen one and then from the first.
std::optional<std::size_t> next_open_output(const show::RingOut& flow) {
  const auto& outputs = flow.record().outputs;
  for (std::size_t by = 1; by < outputs.size(); ++by) {
    const std::size_t index = (flow.chosen().value_or(0) + by) % outputs.size();
    if (!outputs[index].is_ended) {
      return index;
    }
  }
  return std::nullopt;
}

}  // namespace

void RingOutPane::offer_cutting(Context& context) {
  show::RingOut& flow = keeper_.flow();
  Actions& actions = context.actions;
  const auto offered = this->offered();
  const bool hides = context.view.hides_answers;
  const bool is_settled = lit_.is_settled(now_s());  // or the key was for what was lit before
  if (!offered.empty()) {
    const show::OfferedRing& ring = offered[lit(offered)];
    const bool cannot = ring.proposal && ring.proposal->kind == Kind::kCannot;
    // One that only builds has no cut yet: it may be music.
    if (ring.is_certain && !cannot && actions.offer("Space", cut_key_words(ring)) && is_settled) {
      wants_cut_ = ring.id;
    }
    if (actions.offer("X", "not a ring") && is_settled) {
      flow.dismiss(ring.id, "", std::chrono::system_clock::now());
    }
    if (actions.offer("G", "let it go") && is_settled) {
      flow.let_go(ring.id);
    }
    if (offered.size() > 1 && actions.offer(Key::kTab, "Tab", "next ring")) {
      lit_.light_next();
    }
  }
  const auto dismissed = flow.dismissed_sounding();
  if (!dismissed.empty() && actions.offer("U", "a ring after all")) {
    flow.restore(dismissed.front().dismissal);
  }
  const bool has_cut = !flow.output()->cuts.empty();
  const auto flagged = !offered.empty() && offered[lit(offered)].is_certain
                           ? std::optional(offered[lit(offered)].id)
                           : std::nullopt;
  if ((has_cut || flagged) && !hides && actions.offer("D", "edit")) {
    editor_.open(flow, flagged);
  }
}

void RingOutPane::offer_fader(Context& context) {
  show::RingOut& flow = keeper_.flow();
  desk::Desk& desk = context.desk;
  Actions& actions = context.actions;
  // Down as fast as the key repeats, up one step a press.
  double by_db =
      kStepDb * (actions.count_fresh_presses(Key::kUp) - actions.count_presses(Key::kDown));
  if (!context.view.hides_answers) {
    by_db += kFineStepDb *
             (actions.count_fresh_presses(Key::kRight) - actions.count_presses(Key::kLeft));
  }
  actions.show("\u2191\u2193", "fader");
  const double shown_db = flow.fader_db().value_or(desk.fader_db());
  if (by_db != 0.0) {
    flow.set_fader_db(shown_db + by_db);
  }
  if (actions.offer("F", "fader at")) {
    ask_fader(form_, keeper_, desk.is_stage() ? kStageFader : FaderRange(), shown_db);
  }
}

void RingOutPane::offer_ending(Context& context) {
  show::RingOut& flow = keeper_.flow();
  Actions& actions = context.actions;
  const show::OutputRecord& output = *flow.output();
  const bool is_done = output.is_ended;
  if (!output.rounds.empty() && !is_done && flow.fader_db() && actions.offer("R", "came back")) {
    flow.mark_returned(output.rounds.size() - 1);
  }
  if (is_done) {
    if (actions.offer("B", "go on")) {
      flow.reopen();
    }
  } else if (actions.offer("B", show::has_rung(output) ? "back off" : "done, nothing rang")) {
    ask_back_off(form_, keeper_, context.settings.now().back_off_db);
  }
  if (flow.are_all_done() && actions.offer("L", "last check")) {
    const bool is_logged = flow.log_last_check(std::chrono::system_clock::now());
    if (!is_logged && !context.desk.is_stage()) {
      ask_places(form_, keeper_);
    }
  }
}

/// What they did is told on the round card until something else changes.
void RingOutPane::offer_history(Context& context) {
  show::RingOut& flow = keeper_.flow();
  const auto tell = [&](const char* done, const std::string& what) {
    history_words_ =
        fmt::format("{}: {}.", done, context.view.hides_answers ? "hidden" : base::printable(what));
    history_revision_ = flow.revision();
  };
  const std::string undone = flow.undo_what();
  if (!undone.empty() && context.actions.offer("Z", "undo") && flow.undo()) {
    tell("Undone", undone);
  }
  const std::string redone = flow.redo_what();
  if (!redone.empty() && context.actions.offer("Y", "redo") && flow.redo()) {
    tell("Done again", redone);
  }
}

/// Nothing goes to a console before this key.
void RingOutPane::offer_console(Context& context) {
  if (console_.can_link() &&
      context.actions.offer("K", console_.is_on() ? "unlink console" : "link console")) {
    console_.switch_on(!console_.is_on());
  }
}

/// Once every output is ended: earlier the pane Book writes it.
void RingOutPane::offer_sheet(Context& context) {
  const show::RingOut& flow = keeper_.flow();
  if (flow.are_all_done() && context.actions.offer("S", "write the sheet")) {
    write_sheet(sheet_, book_path_, flow.record(), on_news_);
  }
}

/// Their keys are shown on the round card and not on the bar.
void RingOutPane::offer_words(Context& context) {
  show::RingOut& flow = keeper_.flow();
  const auto is_asked = [&](char key) {
    return clicked_ == key || context.actions.is_pressed(static_cast<char32_t>(key));
  };
  if (is_asked('N')) {
    if (const auto open = next_open_output(flow)) {
      flow.choose_output(*open);
    } else {
      ask_new_output(form_, keeper_, context.settings, context.desk.target());
    }
  } else if (is_asked('O')) {
    outputs_.open(flow);
  } else if (is_asked('V')) {
    ask_show_words(form_, keeper_);
  } else if (is_asked('M')) {
    ask_notes(form_, keeper_);
  }
  clicked_.reset();
}

void RingOutPane::offer_actions(Context& context) {
  const std::uint64_t revision = keeper_.flow().revision();
  if (keeper_.flow().output() != nullptr) {
    offer_cutting(context);
    offer_fader(context);
    offer_ending(context);
  }
  offer_history(context);
  offer_console(context);
  offer_sheet(context);
  offer_words(context);
  if (keeper_.flow().revision() != revision) {
    sheet_.forget();  // it is not the sheet of this any more
  }
}

/// Logs the cut of the ring at which Space was pressed, as soon as the cut is fitted.
void RingOutPane::log_when_fitted() {
  if (!wants_cut_) {
    return;
  }
  show::RingOut& flow = keeper_.flow();
  const auto offered = flow.offered();
  const auto ring = std::find_if(
      offered.begin(), offered.end(), [&](const auto& one) { return one.id == *wants_cut_; });
  if (ring != offered.end() && !ring->proposal) {
    return;
  }
  if (ring != offered.end() && ring->proposal->kind != Kind::kCannot) {
    flow.log_cut(ring->id);
  }
  wants_cut_.reset();
}

}  // namespace brink::panel
