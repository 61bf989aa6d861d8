#include "panel/ring_out/ring_out_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/printable.h"
#include "desk/target_library.h"
#include "panel/live/offered_cards.h"
#include "panel/live/ring_rows.h"
#include "panel/live/shown_tap.h"
#include "panel/plots/live_plots.h"
#include "panel/ring_out/prepare_card.h"
#include "panel/ring_out/ring_out_forms.h"
#include "panel/ring_out/round_card.h"
#include "panel/window/now.h"
#include "show/cut_words.h"

namespace brink::panel {
namespace {

constexpr float kCardsWidth = 392.0F;
constexpr float kEditorHeight = 130.0F;

/// Remembers a target by its name or its file. One that came with a show of elsewhere has neither
/// and is not remembered.
void remember_target(desk::SettingsKeeper& keeper, const std::string& source_text) {
  for (const auto& one : desk::shelf_targets(desk::targets_folder(keeper.path()))) {
    if (one.fault.empty() && one.target.source_text == source_text) {
      keeper.now().target = one.name_or_path;
    }
  }
}

void describe_rounds(const show::RingOut& flow, Facts& facts) {
  int number = 0;
  for (const show::RoundView& round : flow.rounds()) {
    const auto& cut = round.round->cut;
    const auto now = cut ? show::standing_cut(*cut, flow.output()->cuts) : std::nullopt;
    const std::string was = now == cut ? "" : ", was " + show::cut_text(*cut);
    facts.add(
        fmt::format("round_{}", ++number),
        fmt::format("{}{}: {}", now ? show::cut_text(*now) : "no cut", was, check_words(round)));
  }
}

void describe_output(const show::RingOut& flow, Facts& facts) {
  const show::OutputRecord& output = *flow.output();
  facts.add("output", output.name);
  facts.add("target", flow.target().name);
  facts.add("prepared", static_cast<double>(output.prepared.size()));
  facts.add("rounds", static_cast<double>(output.rounds.size()));
  facts.add("cuts", static_cast<double>(output.cuts.size()));
  facts.add("bands_left", static_cast<double>(flow.bands_left()));
  facts.add("is_done", output.is_ended);
  facts.add("has_margin", output.back_off_db.has_value());
  facts.add("ended_for", output.advice);
  const show::Advice advice = flow.advice();
  facts.add("advice", advice.reason);
  facts.add("is_to_stop", advice.kind == show::Advice::Kind::kStop);
  if (const auto won = show::gain_won_db(output)) {
    facts.add("won_db", *won);
  }
  if (const auto fader_db = flow.fader_db()) {
    facts.add("fader_db", *fader_db);
  }
  describe_rounds(flow, facts);
}

}  // namespace

RingOutPane::RingOutPane(const std::string& book_path,
                         desk::ShowKeeper& keeper,
                         std::function<void()> on_news)
    : book_path_(book_path), on_news_(std::move(on_news)), keeper_(keeper), console_(on_news_) {}

/// For the next show, and the next output.
void RingOutPane::remember(desk::SettingsKeeper& keeper) {
  const show::RingOut& flow = keeper_.flow();
  if (flow.revision() == remembered_revision_) {
    return;
  }
  remembered_revision_ = flow.revision();
  desk::Settings& settings = keeper.now();
  settings.venue = flow.record().venue;
  settings.show = flow.record().name;
  if (flow.output() != nullptr) {
    settings.output = flow.output()->name;
    settings.microphone = flow.output()->microphone;
    settings.position = flow.output()->position;
    if (flow.target().source_text != remembered_target_) {
      remembered_target_ = flow.target().source_text;
      remember_target(keeper, remembered_target_);
    }
  }
}

std::string RingOutPane::heading() const {
  const show::OutputRecord* output = keeper_.flow().output();
  return output == nullptr ? title() : base::printable(output->name);
}

void RingOutPane::follow(Context& context) {
  sheet_.update();
  log_when_fitted();
  keeper_.update();
  follow_console(context);
  std::vector<desk::ListedRing> listed;
  for (const show::OfferedRing& offer : keeper_.flow().offered()) {
    listed.push_back(
        {offer.id, !detector::is_over(offer.now.state), offer.is_certain, offer.now.level_dbfs});
  }
  lit_.follow(listed, now_s());
  remember(context.settings);
  true_gain_won_db_ = context.desk.true_gain_won_db();
  deaf_ = deaf_words(context.desk.snapshot(), context.view);
  const auto offered = this->offered();
  instruction_ =
      instruction_words(keeper_.flow(),
                        deaf_,
                        offered.empty() ? std::nullopt : std::optional(offered[lit(offered)].now));
}

/// After the show's own update, so that what a key did goes out at once.
void RingOutPane::follow_console(Context& context) {
  console_.follow(keeper_.flow(), context.desk.is_stage());
  hides_ = context.view.hides_answers;
  const std::string alarm = console_.alarm();
  if (!alarm.empty()) {
    context.desk.set_trouble(alarm);
  } else if (has_alarm_) {
    context.desk.set_trouble(std::nullopt);
  }
  has_alarm_ = !alarm.empty();
}

std::string RingOutPane::console_words() const {
  if (!console_.disagreement().empty()) {
    return console_.disagreement();
  }
  const auto reports = console_.report_words();
  if (reports.empty() || hides_) {
    return console_.state_words();
  }
  return reports.size() == 1 ? reports.front()
                             : fmt::format("{} ({} more)", reports.front(), reports.size() - 1);
}

std::string RingOutPane::answer() const {
  if (!sheet_.words().empty()) {
    return sheet_.words();
  }
  if (const std::string console = console_words(); !console.empty()) {
    return console;
  }
  const show::RingOut& flow = keeper_.flow();
  if (!history_words_.empty() && flow.revision() == history_revision_) {
    return history_words_;
  }
  return flow.record().check ? "S writes the sheet of this show." : "";
}

std::vector<show::OfferedRing> RingOutPane::offered() const {
  auto offered = keeper_.flow().offered();
  lit_.arrange(offered, [](const show::OfferedRing& ring) { return ring.id; });
  return offered;
}

std::size_t RingOutPane::lit(const std::vector<show::OfferedRing>& offered) const {
  const auto found = std::find_if(
      offered.begin(), offered.end(), [&](const auto& ring) { return ring.id == lit_.lit(); });
  return found == offered.end() ? 0 : static_cast<std::size_t>(found - offered.begin());
}

void RingOutPane::draw_upper_card(const Rect& area, Context& context) {
  show::RingOut& flow = keeper_.flow();
  const auto offered = this->offered();
  if (editor_.is_open()) {
    Rect rest = area;
    editor_.draw(rest.take_top(context.theme.px(kEditorHeight)), context, flow);
  } else if (flow.output() == nullptr) {
    draw_first_card(area, keeper_.is_looking(), context.theme);
  } else if (flow.phase() == show::Phase::kPrepare && offered.empty()) {
    draw_prepare_card(area, flow, context.theme);
  } else {
    const auto clicked = draw_offered_cards(area,
                                            offered,
                                            lit(offered),
                                            wants_cut_.has_value(),
                                            flow.phase() == show::Phase::kCheck,
                                            flow.dismissed_sounding(),
                                            context);
    if (clicked) {
      lit_.light(offered[*clicked].id);
    }
  }
}

void RingOutPane::draw_pages(const Rect& area, Context& context) {
  if (outputs_.is_open()) {
    const auto choice = outputs_.draw(area, context, keeper_.flow());
    if (choice) {
      switch (choice->wish) {
        case OutputList::Wish::kChoose:
          keeper_.flow().choose_output(choice->output);
          break;
        case OutputList::Wish::kAdd:
          ask_new_output(form_, keeper_, context.settings, context.desk.target());
          break;
        case OutputList::Wish::kChange:
          ask_output_change(form_, keeper_, context.settings);
          break;
        case OutputList::Wish::kBeginShow:
          keeper_.begin_show();
          break;
      }
    }
  }
  if (form_.is_open()) {
    form_.draw(area, context);
  }
}

void RingOutPane::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  Rect right = rest.take_right(theme.px(kCardsWidth));
  rest.take_right(theme.px(16.0F));
  if (!has_page() && !editor_.is_open()) {
    if (keeper_.flow().phase() == show::Phase::kPrepare) {
      offer_ticks(keeper_.flow(), context.actions);
    }
    offer_actions(context);
    log_when_fitted();
    keeper_.update();
  }
  draw_live_plots(rest, context);
  const bool is_list = keeper_.flow().phase() == show::Phase::kPrepare;
  const auto offered = this->offered();
  const float above =
      is_list ? prepare_card_height(theme) : offered_card_height(offered, lit(offered), context);
  const float gap = theme.px(8.0F);
  const Rect card = right.take_bottom(round_card_height(right.height(), above + gap, theme));
  right.take_bottom(gap);
  draw_upper_card(right, context);
  const bool are_keys_blocked = has_page() || editor_.is_open();
  clicked_ = draw_round_card(card, keeper_, instruction_, answer(), are_keys_blocked, context);
  draw_pages(area, context);
}

void RingOutPane::describe(Facts& facts) const {
  const show::RingOut& flow = keeper_.flow();
  facts.add("venue", flow.record().venue);
  facts.add("show", flow.record().name);
  facts.add("show_key", flow.record().key);
  facts.add("was_found", keeper_.was_found());
  facts.add("is_looking", keeper_.is_looking());
  facts.add("is_logged", keeper_.is_logged());
  facts.add("revision", static_cast<double>(flow.revision()));
  facts.add("phase", std::string(to_word(flow.phase())));
  facts.add("outputs", static_cast<double>(flow.record().outputs.size()));
  facts.add("dismissals", static_cast<double>(flow.record().dismissals.size()));
  facts.add("dismissed_sounding", static_cast<double>(flow.dismissed_sounding().size()));
  const auto& check = flow.record().check;
  facts.add("last_check", check ? show::check_words(*check) : "");
  facts.add("check_obstacle", flow.check_obstacle());
  facts.add("note", flow.record().note);
  facts.add("form", form_.is_open() ? form_.heading() : std::string());
  facts.add("fault", form_.fault());
  facts.add("form_hint", form_.hint());
  facts.add("is_editing", editor_.is_open());
  facts.add("edited", editor_.is_open() ? show::cut_text(editor_.cut()) : std::string());
  const auto offered = this->offered();
  facts.add("instruction", instruction_);
  facts.add("answer", answer());
  facts.add("sheet", sheet_.path());
  facts.add("offered", static_cast<double>(offered.size()));
  if (offered.empty()) {
    const bool is_check = flow.phase() == show::Phase::kCheck;
    facts.add("no_rings", quiet_words(deaf_, is_check).heading);
  }
  if (!offered.empty()) {
    const show::OfferedRing& ring = offered[lit(offered)];
    facts.add("lit_id", static_cast<double>(ring.id));
    facts.add("offered_hz", ring.ring.frequency_hz);
    facts.add("is_certain", ring.is_certain);
    facts.add("is_fitted", ring.proposal.has_value());
  }
  facts.add("console_can_link", console_.can_link());
  facts.add("console_is_on", console_.is_on());
  facts.add("console_is_alive", console_.is_alive());
  facts.add("console_state", console_.state_words());
  facts.add("console_says", console_words());
  facts.add("console_disagreement", console_.disagreement());
  facts.add("console_alarm", console_.alarm());
  if (const auto fader_db = console_.fader_db()) {
    facts.add("console_fader_db", *fader_db);
  }
  if (true_gain_won_db_) {
    facts.add("true_gain_won_db", *true_gain_won_db_);
  }
  if (flow.output() != nullptr) {
    describe_output(flow, facts);
  }
}

}  // namespace brink::panel
