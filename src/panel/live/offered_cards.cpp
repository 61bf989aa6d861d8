#include "panel/live/offered_cards.h"

#include <fmt/format.h>

#include <algorithm>
#include <span>
#include <string>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "panel/live/ring_rows.h"
#include "panel/live/shown_tap.h"
#include "show/cut_record.h"

namespace brink::panel {
namespace {

constexpr float kCardHeight = 138.0F;
constexpr float kGap = 8.0F;

using Kind = show::Proposal::Kind;

std::string cut_line(const show::OfferedRing& offer, cuts::Target::Kind kind) {
  if (!offer.is_certain) {
    return kNoCutYet;
  }
  if (!offer.proposal) {
    return "fitting a cut ...";
  }
  if (offer.proposal->kind == Kind::kCannot) {
    return "no cut of this target helps";
  }
  const show::CutRecord& cut = offer.proposal->cut();
  return (show::is_high_pass(cut) ? "" : "cut ") + show::cut_words(cut, kind);
}

std::string foot_line(const show::OfferedRing& offer, bool is_selected, bool is_waiting) {
  if (is_selected && is_waiting) {
    return "logged as soon as it is fitted";
  }
  const bool can_cut = offer.is_certain && offer.proposal && offer.proposal->kind != Kind::kCannot;
  if (is_selected) {
    return can_cut ? "Space  log this cut" : "X  not a ring";
  }
  return offer.rang_at_db ? fmt::format("at {:+.1f} dB", *offer.rang_at_db) : std::string();
}

/// Level and growth change faster than events tell.
RingCard to_card(const show::OfferedRing& offer,
                 std::span<const desk::BoardRow> rows,
                 cuts::Target::Kind kind) {
  RingCard card;
  card.state = offer.ring.state;
  card.frequency_hz = offer.ring.frequency_hz;
  card.growth_db_per_s = offer.ring.growth_db_per_s;
  const auto live = std::find_if(rows.begin(), rows.end(), [&](const desk::BoardRow& row) {
    return row.tap == offer.tap && row.ring.id == offer.ring.id;
  });
  if (live != rows.end() && offer.ring.state != detector::RingState::kGone) {
    card.growth_db_per_s = live->ring.growth_db_per_s;
  }
  card.cut = cut_line(offer, kind);
  card.about = offer.is_certain && offer.proposal ? offer.proposal->sentence : std::string();
  return card;
}

/// Small, since a loop may come to ring just there.
std::string dismissed_words(std::span<const show::DismissedRing> sounding, bool hides_answers) {
  std::string words;
  for (const show::DismissedRing& one : sounding) {
    words += (words.empty() ? "" : ", ") + base::frequency_label(one.frequency_hz);
  }
  if (hides_answers) {
    words = sounding.size() == 1 ? "One" : fmt::format("{}", sounding.size());
  }
  return words + (sounding.size() == 1 ? " sounds: not a ring, as you said"
                                       : " sound: no rings, as you said");
}

}  // namespace

float offered_card_height(const Theme& theme) noexcept {
  return theme.px(kCardHeight);
}

void draw_offered_cards(const Rect& area,
                        const std::vector<show::OfferedRing>& offered,
                        std::size_t selected,
                        bool is_waiting,
                        bool is_check,
                        std::span<const show::DismissedRing> dismissed,
                        const Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  if (!dismissed.empty()) {
    const Rect line = rest.take_bottom(theme.px(22.0F));
    const Clip clip(line);
    draw_text(theme.body,
              line.left,
              line.top + theme.px(2.0F),
              colour::kQuiet,
              dismissed_words(dismissed, context.view.hides_answers));
  }
  const std::string deaf = deaf_words(context.desk.snapshot(), context.view);
  const bool has_room = rest.height() > theme.px(2.0F * kCardHeight);
  if (offered.empty() || (!deaf.empty() && has_room)) {
    draw_quiet_card(rest, deaf, is_check, theme);
  }
  if (offered.empty()) {
    return;
  }
  const auto rows = context.desk.board().rows();
  // The chosen one is always among those that fit.
  const auto fitting = static_cast<std::size_t>(
      std::max(1.0F, (rest.height() + theme.px(kGap)) / theme.px(kCardHeight + kGap)));
  const std::size_t first = selected < fitting ? 0 : selected + 1 - fitting;
  std::size_t index = first;
  for (; index < offered.size() && index < first + fitting; ++index) {
    const bool is_selected = index == selected;
    RingCard card = to_card(offered[index], rows, context.desk.board().target().kind);
    card.foot = foot_line(offered[index], is_selected, is_waiting);
    if (context.desk.session().taps().size() > 1) {
      card.about = fmt::format(
          "channel {}{}{}", offered[index].tap, card.about.empty() ? "" : ": ", card.about);
    }
    card.is_foot_lit = is_selected;
    draw_ring_card(
        rest.take_top(theme.px(kCardHeight)), card, is_selected, context.view.hides_answers, theme);
    rest.take_top(theme.px(kGap));
  }
  if (index < offered.size() && rest.height() > theme.body->FontSize) {
    draw_text(theme.body,
              rest.left,
              rest.top,
              colour::kQuiet,
              fmt::format("and {} more", offered.size() - index));
  }
}

}  // namespace brink::panel
