#include "panel/page/page_hand.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <optional>
#include <utility>

#include "base/units.h"
#include "cuts/band.h"
#include "panel/draw/words.h"
#include "panel/live/listen_rows.h"
#include "panel/live/offered_cards.h"
#include "panel/live/ring_rows.h"
#include "panel/live/instruction.h"
#include "panel/live/shown_tap.h"
#include "panel/ring_out/round_card.h"
#include "show/cut_words.h"

namespace brink::panel {
namespace {

using Kind = show::Proposal::Kind;

std::optional<PageAct> log_act(const show::RingOut& flow,
                               const std::vector<show::OfferedRing>& offered) {
  const auto ring = std::find_if(offered.begin(), offered.end(), [](const auto& one) {
    return one.is_certain && one.proposal && one.proposal->kind != Kind::kCannot;
  });
  if (ring == offered.end()) {
    return std::nullopt;
  }
  const ProposalWords words =
      proposal_words(*ring->proposal, flow.output()->cuts, flow.target().kind);
  std::string about = words.cut;
  for (const std::string& band : words.bands) {
    about += ", " + band;
  }
  return PageAct{
      {fmt::format("cut-{}-{}-{:x}", flow.revision(), ring->id, std::hash<std::string>()(about)),
       cut_key_words(*ring),
       about},
      [id = ring->id](show::RingOut& now) { return now.log_cut(id); },
      "Logged: " + words.cut};
}

report::PageRing to_ring(const show::OfferedRing& offer, const show::RingOut& flow) {
  report::PageRing one{offer.now, "", {}, offer.tap};
  if (!offer.is_certain) {
    one.cut = kNoCutYet;
  } else if (!offer.proposal) {
    one.cut = "fitting a cut ...";
  } else {
    ProposalWords words = proposal_words(*offer.proposal, flow.output()->cuts, flow.target().kind);
    one.cut = std::move(words.cut);
    one.bands = std::move(words.bands);
  }
  return one;
}

report::PageRing to_ring(const ListenRow& row, const desk::Desk& desk) {
  report::PageRing one{row.ring, "", {}, row.tap};
  if (!is_flagged(row.ring)) {
    one.cut = kNoCutYet;
  } else if (row.proposal) {
    ProposalWords words =
        proposal_words(*row.proposal, cuts::to_bands(desk.equaliser()), desk.target().kind);
    one.cut = std::move(words.cut);
    one.bands = std::move(words.bands);
  }
  return one;
}

/// The newest rounds, the last first: more have no room.
std::vector<report::PageRound::Row> round_rows(const show::RingOut& flow) {
  constexpr std::size_t kMost = 4;
  const auto rounds = flow.rounds();
  std::vector<report::PageRound::Row> rows;
  for (auto round = rounds.rbegin(); round != rounds.rend() && rows.size() < kMost; ++round) {
    const auto& cut = round->round->cut;
    const auto now = cut ? show::standing_cut(*cut, flow.output()->cuts) : std::nullopt;
    rows.push_back({now ? show::cut_words(*now, flow.target().kind) : "no cut there now",
                    check_words(*round)});
  }
  return rows;
}

report::PageRound to_round(const Context& context, const std::vector<show::OfferedRing>& offered) {
  const show::RingOut& flow = context.show.flow();
  report::PageRound round;
  round.output = flow.output()->name;
  round.heading = show::to_word(flow.phase());
  round.instruction =
      instruction_words(flow,
                        deaf_words(context.desk.snapshot(), context.view),
                        offered.empty() ? std::nullopt : std::optional(offered.front().now));
  const auto fader_db = flow.fader_db();
  round.facts.push_back(fader_db ? fmt::format("fader {:+.1f} dB", *fader_db) : "fader not told");
  const int count = show::round_count(*flow.output());
  round.facts.push_back(fmt::format("{} round{}", count, count == 1 ? "" : "s"));
  if (const auto won = show::gain_won_db(*flow.output())) {
    round.facts.push_back(fmt::format("won {:.1f} dB", *won));
  }
  round.rounds = round_rows(flow);
  return round;
}

}  // namespace

std::vector<PageAct> page_acts(const show::RingOut& flow,
                               const std::vector<show::OfferedRing>& offered) {
  std::vector<PageAct> acts;
  if (flow.output() == nullptr) {
    return acts;
  }
  if (auto act = log_act(flow, offered)) {
    acts.push_back(std::move(*act));
  }
  const show::OutputRecord& output = *flow.output();
  if (!output.rounds.empty() && !output.is_ended && flow.fader_db()) {
    const std::size_t last = output.rounds.size() - 1;
    acts.push_back({{fmt::format("back-{}-{}", flow.revision(), last),
                     "came back",
                     "you hear the last round's ring again"},
                    [last](show::RingOut& now) { return now.mark_returned(last); },
                    "Noted: it came back"});
  }
  const std::string what = flow.undo_what();
  if (!what.empty()) {
    acts.push_back({{fmt::format("undo-{}", flow.revision()), "undo", what},
                    [](show::RingOut& now) { return now.undo(); },
                    "Undone: " + what});
  }
  return acts;
}

report::PageView page_view(const Context& context, const std::vector<show::OfferedRing>& offered) {
  const show::RingOut& flow = context.show.flow();
  report::PageView view;
  view.snapshot = &context.desk.snapshot();
  view.names = &flow.rings().names();
  view.source = context.desk.session().source_name();
  view.trouble = context.book.trouble().value_or(context.desk.trouble().value_or(""));
  view.hides_answers = context.view.hides_answers;
  if (flow.output() == nullptr) {
    for (const ListenRow& row : list_rows(context.desk, flow)) {
      view.rings.push_back(to_ring(row, context.desk));
    }
    return view;
  }
  for (const show::OfferedRing& offer : offered) {
    view.rings.push_back(to_ring(offer, flow));
  }
  view.round = to_round(context, offered);
  return view;
}

}  // namespace brink::panel
