#include "panel/ring_out/ring_out_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/printable.h"
#include "desk/target_library.h"
#include "panel/draw/words.h"
#include "panel/live/afar.h"
#include "panel/live/instruction.h"
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

/// The instruction, or first a ring that is near the limit.
Instruction RingOutPane::urgent_first(const Context& context) const {
  std::vector<detector::Ring> rings;
  for (const show::OfferedRing& offer : offered()) {
    rings.push_back(offer.now);
  }
  return with_urgent(instruction_, deaf_, rings, context.view.hides_answers);
}

void RingOutPane::draw_afar(const Rect& area, Context& context) {
  const show::RingOut& flow = keeper_.flow();
  const bool is_check = flow.phase() == show::Phase::kCheck;
  AfarView view{urgent_first(context), {}, quiet_words(deaf_, is_check).heading, {}};
  if (flow.output() == nullptr) {
    view.instruction.words = "N names the first output.";
  }
  const auto offered = this->offered();
  if (!offered.empty() && flow.output() != nullptr) {
    view.lit = lit_offer_card(offered[lit(offered)], context);
  }
  if (const auto fader_db = flow.fader_db()) {
    view.fader = fader_words(*fader_db);
  } else if (context.desk.is_stage()) {
    view.fader = fader_words(context.desk.fader_db());
  }
  draw_from_afar(area, view, context);
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
  if (!has_page() && !editor_.is_open()) {
    if (keeper_.flow().phase() == show::Phase::kPrepare) {
      offer_ticks(keeper_.flow(), context.actions);
    }
    offer_actions(context);
    log_when_fitted();
    keeper_.update();
  }
  if (context.view.is_from_afar && !has_page() && !editor_.is_open()) {
    draw_afar(area, context);
    return;
  }
  Rect rest = area;
  if (keeper_.flow().output() != nullptr) {
    draw_instruction(rest, urgent_first(context), context);
  }
  Rect right = rest.take_right(cards_width(area.width(), theme));
  rest.take_right(theme.px(16.0F));
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
  clicked_ = draw_round_card(card, keeper_, answer(), are_keys_blocked, context);
  draw_pages(area, context);
}

}  // namespace brink::panel
