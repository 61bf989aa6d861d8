#include "panel/live/listen_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

#include "cuts/band.h"
#include "panel/draw/words.h"
#include "panel/live/afar.h"
#include "panel/live/instruction.h"
#include "panel/live/listen_rows.h"
#include "panel/live/ring_rows.h"
#include "panel/live/shown_tap.h"
#include "panel/live/stage_card.h"
#include "panel/plots/live_plots.h"
#include "panel/window/now.h"

namespace brink::panel {
namespace {

std::uint64_t id_of(const ListenRow& row) {
  return row.id;
}

RingCard to_card(const ListenRow& row, bool is_lit, const Context& context) {
  RingCard card;
  card.ring = row.ring;
  if (!is_flagged(row.ring)) {
    card.cut = kNoCutYet;
  } else if (row.proposal) {
    ProposalWords words = proposal_words(
        *row.proposal, cuts::to_bands(context.desk.equaliser()), context.desk.target().kind);
    card.cut = std::move(words.cut);
    card.about = std::move(words.about);
    if (is_lit) {
      card.bands = std::move(words.bands);
    }
  } else if (context.show.flow().output() != nullptr) {
    card.cut = row.is_offered ? "fitting a cut ..." : "dealt with in Ring out";
  }
  const show::ChannelNames& names = context.show.flow().rings().names();
  const bool names_tap = context.desk.session().taps().size() > 1;
  const std::string first = show::first_move_words(row.shares, names);
  if (names_tap && !first.empty() && is_flagged(row.ring)) {
    card.about = show::where_words(row.tap, row.shares, names) + ": " + first +
                 (card.about.empty() ? "" : ". " + card.about);
  }
  card.foot = fmt::format("{}{:.0f} dBFS, {:.0f} % sure",
                          names_tap ? names.words(row.tap) + ", " : std::string(),
                          row.ring.level_dbfs,
                          100.0 * row.ring.confidence);
  return card;
}

}  // namespace

void ListenPane::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  names_form_.offer(context);
  if (names_form_.is_open()) {
    names_form_.draw(area, context);
    return;
  }
  std::vector<ListenRow> rows = list_rows(context.desk, context.show.flow());
  std::vector<desk::ListedRing> listed;
  for (const ListenRow& row : rows) {
    listed.push_back({id_of(row),
                      !detector::is_over(row.ring.state),
                      is_flagged(row.ring),
                      row.ring.level_dbfs});
  }
  lit_.follow(listed, now_s());
  if (rows.size() > 1 && context.actions.offer(Key::kTab, "Tab", "next ring")) {
    lit_.light_next();
  }
  lit_.arrange(rows, id_of);
  const auto lit = std::find_if(
      rows.begin(), rows.end(), [&](const ListenRow& row) { return id_of(row) == lit_.lit(); });
  const ListenRow* const lit_row = lit == rows.end() ? nullptr : &*lit;
  std::vector<RingCard> cards;
  std::vector<detector::Ring> rings;
  for (const ListenRow& row : rows) {
    cards.push_back(to_card(row, &row == lit_row, context));
    rings.push_back(row.ring);
  }
  cut_ = lit_row == nullptr ? "" : cards[static_cast<std::size_t>(lit - rows.begin())].cut;
  where_ =
      lit_row == nullptr
          ? ""
          : show::where_words(lit_row->tap, lit_row->shares, context.show.flow().rings().names());
  const std::string deaf = deaf_words(context.desk.snapshot(), context.view);
  const Instruction instruction =
      with_urgent(listen_words(deaf,
                               lit_row == nullptr ? std::nullopt : std::optional(lit_row->ring),
                               lit_row != nullptr && can_cut(*lit_row),
                               context.desk.is_stage()),
                  deaf,
                  rings,
                  context.view.hides_answers);

  if (context.desk.is_stage()) {
    steer_stage(lit_row, lit_, context);
  }
  if (context.view.is_from_afar) {
    AfarView view{instruction, {}, quiet_words(deaf, false).heading, {}};
    if (lit_row != nullptr) {
      view.lit = cards[static_cast<std::size_t>(lit - rows.begin())];
    }
    if (context.desk.is_stage()) {
      view.fader = fader_words(context.desk.fader_db());
    }
    draw_from_afar(area, view, context);
    return;
  }
  Rect rest = area;
  draw_instruction(rest, instruction, context);
  Rect right = rest.take_right(cards_width(area.width(), theme));
  rest.take_right(theme.px(16.0F));
  draw_live_plots(rest, context);
  if (context.desk.is_stage()) {
    const Rect card = right.take_bottom(stage_card_height(theme));
    right.take_bottom(theme.px(8.0F));
    draw_stage_card(card, hand_, context);
  }
  if (rows.empty() || !deaf.empty()) {
    draw_quiet_card(right, deaf, false, theme);
  }
  if (rows.empty()) {
    return;
  }
  const auto clicked =
      draw_ring_cards(right, cards, static_cast<std::size_t>(lit - rows.begin()), context);
  if (clicked) {
    lit_.light(id_of(rows[*clicked]));
  }
}

void ListenPane::describe(Facts& facts) const {
  facts.add("has_lit", lit_.lit().has_value());
  facts.add("lit_id", static_cast<double>(lit_.lit().value_or(0) & 0xFFFFFFFFU));
  facts.add("cut", cut_);
  facts.add("where", where_);
  facts.add("form", names_form_.heading());
}

}  // namespace brink::panel
