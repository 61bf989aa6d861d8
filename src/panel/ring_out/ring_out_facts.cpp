// What a test may know of the Ring out pane.

#include <fmt/format.h>

#include <string>

#include "panel/live/ring_rows.h"
#include "panel/ring_out/ring_out_pane.h"
#include "panel/ring_out/round_card.h"
#include "panel/window/now.h"
#include "show/cut_words.h"

namespace brink::panel {
namespace {

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
    facts.add("takes_keys", lit_.is_settled(now_s()));
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
