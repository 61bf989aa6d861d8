#include "panel/live/offered_cards.h"

#include <fmt/format.h>

#include <algorithm>
#include <span>
#include <string>
#include <utility>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "panel/live/ring_rows.h"
#include "panel/live/shown_tap.h"

namespace brink::panel {
namespace {

using Kind = show::Proposal::Kind;

bool can_cut(const show::OfferedRing& offer) {
  return offer.is_certain && offer.proposal && offer.proposal->kind != Kind::kCannot;
}

std::string foot_line(const show::OfferedRing& offer, bool is_lit, bool is_waiting) {
  if (is_lit && is_waiting) {
    return "logged as soon as it is fitted";
  }
  if (is_lit) {
    return can_cut(offer) ? std::string("Space  ") + cut_key_words(offer) : "X  not a ring";
  }
  return offer.rang_at_db ? fmt::format("at {:+.1f} dB", *offer.rang_at_db) : std::string();
}

RingCard to_card(const show::OfferedRing& offer, bool is_lit, const Context& context) {
  RingCard card;
  card.ring = offer.now;
  if (!offer.is_certain) {
    card.cut = kNoCutYet;
  } else if (!offer.proposal) {
    card.cut = "fitting a cut ...";
  } else {
    const show::RingOut& flow = context.show.flow();
    ProposalWords words = proposal_words(*offer.proposal, flow.output()->cuts, flow.target().kind);
    card.cut = std::move(words.cut);
    card.about = std::move(words.about);
    if (is_lit) {
      card.bands = std::move(words.bands);
    }
  }
  if (context.desk.session().taps().size() > 1) {
    card.about =
        fmt::format("channel {}{}{}", offer.tap, card.about.empty() ? "" : ": ", card.about);
  }
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

const char* cut_key_words(const show::OfferedRing& offer) {
  return detector::is_over(offer.ring.state) ? "log a cut for what rang" : "log this cut";
}

float offered_card_height(const std::vector<show::OfferedRing>& offered,
                          std::size_t lit,
                          const Context& context) {
  constexpr float kQuietHeight = 150.0F;
  constexpr float kForRounds = 48.0F;  // letters give this much to the list of rounds
  const Theme& theme = context.theme;
  const show::OutputRecord* const output = context.show.flow().output();
  if (lit >= offered.size() || output == nullptr) {
    return theme.px(kQuietHeight);
  }
  return whole_card_height(to_card(offered[lit], true, context), theme) -
         theme.px(output->rounds.empty() ? 0.0F : kForRounds);
}

RingCard lit_offer_card(const show::OfferedRing& offer, const Context& context) {
  return to_card(offer, true, context);
}

std::optional<std::size_t> draw_offered_cards(const Rect& area,
                                              const std::vector<show::OfferedRing>& offered,
                                              std::size_t lit,
                                              bool is_waiting,
                                              bool is_check,
                                              std::span<const show::DismissedRing> dismissed,
                                              Context& context) {
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
  std::vector<RingCard> cards;
  for (std::size_t i = 0; i < offered.size(); ++i) {
    RingCard& card = cards.emplace_back(to_card(offered[i], i == lit, context));
    card.foot = foot_line(offered[i], i == lit, is_waiting);
    card.is_foot_lit = i == lit;
  }
  const std::string deaf = deaf_words(context.desk.snapshot(), context.view);
  const bool has_room =
      lit < cards.size() && rest.height() > 1.6F * least_card_height(cards[lit], theme);
  if (offered.empty() || (!deaf.empty() && has_room)) {
    draw_quiet_card(rest, deaf, is_check, theme);
  }
  if (offered.empty()) {
    return std::nullopt;
  }
  return draw_ring_cards(rest, cards, lit, context);
}

}  // namespace brink::panel
