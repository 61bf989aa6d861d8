#include "show/ring_out.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include "base/error.h"
#include "base/time_of_day.h"
#include "show/cut_record.h"
#include "show/kept_target.h"

namespace brink::show {
namespace {

/// As a console shows it; also keeps steps of 0.1 dB from summing up rounding.
double legal_fader_db(double fader_db) noexcept {
  return std::round(std::clamp(fader_db, RingOut::kLowestFaderDb, RingOut::kHighestFaderDb) *
                    100.0) /
         100.0;
}

/// A show without its words: what a check can vouch for.
std::vector<show::OutputRecord> checked_part(const show::ShowRecord& show) {
  std::vector<show::OutputRecord> outputs = show.outputs;
  for (show::OutputRecord& output : outputs) {
    output.note.clear();
    for (show::RoundRecord& round : output.rounds) {
      round.note.clear();
    }
    for (show::SweepRecord& sweep : output.sweeps) {
      sweep.note.clear();
    }
  }
  return outputs;
}

bool is_same_to_check(const show::ShowRecord& a, const show::ShowRecord& b) {
  return a.dismissals == b.dismissals && checked_part(a) == checked_part(b);
}

bool is_usable(const show::CutRecord& cut) noexcept {
  const bool is_finite =
      std::isfinite(cut.centre_hz) && std::isfinite(cut.q) && std::isfinite(cut.depth_db);
  return is_finite && cut.centre_hz > 0.0 &&
         (is_high_pass(cut) || (cut.q > 0.0 && cut.depth_db < 0.0));
}

}  // namespace

RingOut::RingOut(show::ShowRecord show, const RingOutConfig& config, LiveRings rings)
    : config_(config), rings_(std::move(rings)) {
  State state;
  state.record = std::move(show);
  for (const show::OutputRecord& output : state.record.outputs) {
    (void)to_target(output.target);  // refuses what the book should not hold
  }
  faders_db_.resize(state.record.outputs.size());
  if (!state.record.outputs.empty()) {
    state.chosen = state.record.outputs.size() - 1;
  }
  replace(std::move(state));
  revision_ = 0;
}

/// Makes `state` the present one and brings along what follows from it.
void RingOut::replace(State state) {
  if (state.record != state_.record) {
    ++revision_;
  }
  target_ = to_target(state.chosen ? state.output().target : "");
  const bool are_same = state.record.outputs.size() == state_.record.outputs.size();
  state_ = std::move(state);
  opens_all_ = (opens_all_ && are_same) || are_all_done();
  ++tick_;
}

/// One step of undo, if anything changes.
template <typename Change>
bool RingOut::act(const std::string& what, const Change& change) {
  State changed = state_;
  change(changed);
  if (changed == state_) {
    return false;
  }
  State before = state_;
  before.record.check.reset();
  history_.push(std::move(before), what);
  const bool is_words = is_same_to_check(changed.record, state_.record);
  replace(std::move(changed));
  is_check_newest_ = false;
  is_undoing_ = false;
  if (!is_words) {
    void_check();
  }
  note_returns();
  return true;
}

/// Back or forth in the history, to just what was there: nothing is heard by it. Where it leads
/// nothing was checked.
bool RingOut::travel(bool (RingOutHistory<State>::*step)(State&)) {
  State state = state_;
  state.record.check.reset();
  if (!(history_.*step)(state)) {
    return false;
  }
  replace(std::move(state));
  void_check();
  is_undoing_ = true;
  return true;
}

bool RingOut::undo() {
  if (is_check_newest_) {
    void_check();
    return true;
  }
  return travel(&RingOutHistory<State>::undo);
}

bool RingOut::redo() {
  return travel(&RingOutHistory<State>::redo);
}

// The show and its outputs.

const show::OutputRecord* RingOut::output() const noexcept {
  return state_.chosen ? &state_.record.outputs[*state_.chosen] : nullptr;
}

void RingOut::refuse_words(const OutputWords& words, std::optional<std::size_t> except) const {
  if (words.name.find_first_not_of(" \t") == std::string::npos) {
    throw base::Error("An output needs a name, such as wedge 1.");
  }
  for (std::size_t index = 0; index < state_.record.outputs.size(); ++index) {
    if (index != except && state_.record.outputs[index].name == words.name) {
      throw base::Error(fmt::format(
          "There is an output '{}' already; choose it, or take another name.", words.name));
    }
  }
  (void)to_target(words.target);
}

void RingOut::add_output(const OutputWords& words) {
  refuse_words(words, std::nullopt);
  const std::size_t index = state_.record.outputs.size();
  // One of that number may have been undone: nothing of it is the new one's.
  caught_.disown(index);
  faders_db_.resize(index);
  faders_db_.emplace_back();
  act("add " + words.name, [&](State& state) {
    show::OutputRecord& output = state.record.outputs.emplace_back();
    output.name = words.name;
    output.microphone = words.microphone;
    output.position = words.position;
    output.target = words.target;
    state.chosen = index;
  });
}

bool RingOut::change_output(const OutputWords& words) {
  if (!state_.chosen) {
    return false;
  }
  refuse_words(words, state_.chosen);
  return act("change " + state_.output().name, [&](State& state) {
    show::OutputRecord& output = state.output();
    output.name = words.name;
    output.microphone = words.microphone;
    output.position = words.position;
    output.target = words.target;
  });
}

bool RingOut::choose_output(std::size_t index) {
  if (index >= state_.record.outputs.size()) {
    return false;
  }
  const bool is_other = act("choose " + state_.record.outputs[index].name,
                            [&](State& state) { state.chosen = index; });
  if (is_other && !are_all_done()) {
    listen_anew();  // another one is open now
  }
  return is_other;
}

bool RingOut::name_show(const std::string& venue, const std::string& name) {
  return act("name the show", [&](State& state) {
    state.record.venue = venue;
    state.record.name = name;
  });
}

bool RingOut::note_show(const std::string& note) {
  return act("note on the show", [&](State& state) { state.record.note = note; });
}

bool RingOut::note_output(const std::string& note) {
  return state_.chosen &&
         act("note on " + state_.output().name, [&](State& state) { state.output().note = note; });
}

bool RingOut::note_round(std::size_t round, const std::string& note) {
  if (output() == nullptr || round >= output()->rounds.size()) {
    return false;
  }
  return act(fmt::format("note on round {}", round + 1),
             [&](State& state) { state.output().rounds[round].note = note; });
}

// Prepare and raise.

bool RingOut::tick(std::size_t point, bool is_done) {
  if (output() == nullptr || point >= prepare_points().size()) {
    return false;
  }
  const std::string text = prepare_points()[point];
  return act(text, [&](State& state) {
    auto& prepared = state.output().prepared;
    std::erase(prepared, text);
    if (is_done) {
      prepared.push_back(text);
    }
  });
}

bool RingOut::put_fader(double fader_db) {
  auto& fader = faders_db_.at(*state_.chosen);
  const double legal_db = legal_fader_db(fader_db);
  if (fader == legal_db) {
    return false;
  }
  fader = legal_db;
  ++tick_;
  listen_anew();
  return true;
}

bool RingOut::set_fader_db(double fader_db) {
  if (!state_.chosen || !std::isfinite(fader_db) || !put_fader(fader_db)) {
    return false;
  }
  is_undoing_ = false;
  void_check();
  return true;
}

bool RingOut::step_fader_db(double by_db) {
  return set_fader_db(fader_db().value_or(0.0) + by_db);
}

bool RingOut::find_fader_db(double fader_db) {
  return state_.chosen && !this->fader_db() && std::isfinite(fader_db) && put_fader(fader_db);
}

std::optional<double> RingOut::fader_db() const noexcept {
  return state_.chosen ? fader_db(*state_.chosen) : std::nullopt;
}

std::optional<double> RingOut::fader_db(std::size_t output) const noexcept {
  return output < faders_db_.size() ? faders_db_[output] : std::nullopt;
}

// Cuts.

std::optional<Proposal> RingOut::final_proposal(const CaughtRing& heard,
                                                const std::optional<show::CutRecord>& edited) {
  if (proposal_for(heard) == nullptr) {
    const ProposalInput input = input_for(heard);
    take_proposal(input, propose(input));
  }
  Proposal proposal = *proposal_for(heard);
  if (proposal.kind == Proposal::Kind::kCannot) {
    if (!edited) {
      return std::nullopt;
    }
    proposal.index = proposal.cuts.size();
    proposal.cuts.push_back(*edited);
  }
  if (edited) {
    proposal.cuts[proposal.index] = *edited;
  }
  return proposal;
}

bool RingOut::log_cut(std::uint64_t ring, const std::optional<show::CutRecord>& edited) {
  const auto heard = find_offered(ring);
  if (!heard || output() == nullptr || (edited && !is_usable(*edited))) {
    return false;
  }
  const auto fitted = edited ? std::optional(nearest_on(target_, *edited)) : std::nullopt;
  const auto proposal = final_proposal(*heard, fitted);
  if (!proposal) {
    return false;
  }
  show::RoundRecord round;
  round.ring = {heard->caught->flagged_at,
                heard->live->ring.frequency_hz,
                heard->live->ring.frequency_sd_hz,
                heard->live->ring.growth_db_per_s,
                heard->live->ring.peak_dbfs,
                heard->live->ring.confidence};
  const Proposal& proposed = *proposal_for(*heard);
  if (proposed.kind != Proposal::Kind::kCannot) {
    round.proposed = proposed.cut();
  }
  round.cut = proposal->cut();
  round.rang_at_db = rang_at_db(*heard);
  return act("cut " + cut_text(*round.cut), [&](State& state) {
    show::OutputRecord& output = state.output();
    if (!output.is_ended) {  // with others open it tells nothing of what a round won
      let_return(state, *heard);
    }
    reopen(output);
    output.start_at_db = output.start_at_db ? output.start_at_db : round.rang_at_db;
    output.cuts = proposal->cuts;
    output.rounds.push_back(round);
    std::erase(state.again, heard->live->id);
    state.links.push_back(
        {heard->live->id, *state.chosen, output.rounds.size() - 1, tick_ + 1, fader_db()});
  });
}

bool RingOut::edit_cut(std::size_t cut, const show::CutRecord& edited) {
  if (output() == nullptr || cut >= output()->cuts.size() || !is_usable(edited)) {
    return false;
  }
  const show::CutRecord now = nearest_on(target_, edited);
  return act("change to " + cut_text(now), [&](State& state) {
    show::OutputRecord& output = state.output();
    reopen(output);
    const show::CutRecord was = std::exchange(output.cuts[cut], now);
    for (show::RoundRecord& round : output.rounds) {
      if (round.cut == was) {
        round.cut = now;
      }
    }
  });
}

bool RingOut::add_cut(const show::CutRecord& cut) {
  if (output() == nullptr || !is_usable(cut)) {
    return false;
  }
  const show::CutRecord fitted = nearest_on(target_, cut);
  return act("add " + cut_text(fitted), [&](State& state) {
    reopen(state.output());
    state.output().cuts.push_back(fitted);
  });
}

bool RingOut::log_sweep(show::SweepRecord sweep) {
  if (output() == nullptr) {
    return false;
  }
  std::erase_if(sweep.cuts, [](const show::CutRecord& cut) { return !is_usable(cut); });
  for (show::CutRecord& cut : sweep.cuts) {
    cut = nearest_on(target_, cut);
  }
  return act("the sweep", [&](State& state) {
    reopen(state.output());
    state.output().cuts = sweep.cuts;
    state.output().sweeps.push_back(std::move(sweep));
  });
}

bool RingOut::remove_cut(std::size_t cut) {
  if (output() == nullptr || cut >= output()->cuts.size()) {
    return false;
  }
  return act("take out " + cut_text(output()->cuts[cut]), [&](State& state) {
    show::OutputRecord& output = state.output();
    reopen(output);
    const show::CutRecord was = output.cuts[cut];
    output.cuts.erase(output.cuts.begin() + static_cast<std::ptrdiff_t>(cut));
    for (show::RoundRecord& round : output.rounds) {
      if (round.cut == was) {
        round.cut.reset();
      }
    }
  });
}

bool RingOut::dismiss(std::uint64_t ring, const std::string& reason, TimeOfDay now) {
  const auto heard = find_offered(ring);
  if (!heard) {
    return false;
  }
  return act(fmt::format("{:.0f} Hz is no ring", heard->live->ring.frequency_hz),
             [&](State& state) {
               withdraw(state, [&](const Return& it) {
                 return is_same_place(it.frequency_hz, heard->live->ring.frequency_hz);
               });
               for (show::OutputRecord& output : state.record.outputs) {
                 if (!show::has_rung(output)) {
                   output.back_off_db.reset();  // the margin was under that
                   output.advice.clear();
                 }
               }
               state.record.dismissals.push_back(
                   {base::wall_text(now), heard->live->ring.frequency_hz, reason});
             });
}

bool RingOut::restore(std::size_t dismissal) {
  if (dismissal >= state_.record.dismissals.size()) {
    return false;
  }
  return act("take a dismissal back", [&](State& state) {
    auto& dismissals = state.record.dismissals;
    dismissals.erase(dismissals.begin() + static_cast<std::ptrdiff_t>(dismissal));
  });
}

bool RingOut::let_go(std::uint64_t ring) {
  const auto heard = find_offered(ring);
  return heard &&
         act(fmt::format("let {:.0f} Hz go", heard->live->ring.frequency_hz), [&](State& state) {
           state.let_go.push_back(ring);
           withdraw(state, [&](const Return& it) {
             return it.ring == ring && !state.record.outputs[it.output].is_ended;
           });
         });
}

// Check and end.

bool RingOut::mark_returned(std::size_t round, std::optional<double> fader) {
  const auto at_db = fader ? fader : fader_db();
  if (output() == nullptr || output()->is_ended || round >= output()->rounds.size() || !at_db ||
      !std::isfinite(*at_db)) {
    return false;
  }
  return act(fmt::format("round {} came back", round + 1), [&](State& state) {
    state.output().rounds[round].returned_at_db = legal_fader_db(*at_db);
    std::erase_if(state.returns, [&](const Return& it) {
      return it.output == state.chosen && it.round == round;  // the user's word now
    });
    const Link* link = link_of_round(round);
    const LiveRing* live = link == nullptr ? nullptr : rings_.find(link->ring);
    if (live != nullptr && live->ring.state <= detector::RingState::kRinging &&
        !is_again(live->id)) {
      state.again.push_back(live->id);
    }
  });
}

std::optional<double> RingOut::place_db(double margin_db) const {
  const auto at_db = output() == nullptr ? std::nullopt : edge_db(*output());
  return at_db ? std::optional(legal_fader_db(*at_db - margin_db)) : std::nullopt;
}

bool RingOut::would_go_up(double margin_db) const {
  const auto place = place_db(margin_db);
  const auto fader = fader_db();
  return place && fader && *place > *fader;
}

bool RingOut::back_off(double margin_db) {
  if (output() == nullptr || output()->is_ended || !std::isfinite(margin_db) || margin_db < 0.0 ||
      would_go_up(margin_db)) {
    return false;
  }
  const bool rang = show::has_rung(*output());
  const std::string reason = rang ? advice().reason : "";
  const auto place = place_db(margin_db);
  const std::string what =
      rang ? fmt::format("back off {:.3g} dB", margin_db) : "end " + output()->name;
  const bool is_done = act(what, [&](State& state) {
    show::OutputRecord& output = state.output();
    output.is_ended = true;
    output.back_off_db = rang ? std::optional(margin_db) : std::nullopt;
    output.advice = reason;
    state.done_tick = tick_;
  });
  if (is_done && place && fader_db()) {
    put_fader(*place);
  }
  return is_done;
}

void RingOut::reopen(show::OutputRecord& output) {
  output.is_ended = false;
  output.back_off_db.reset();
  output.advice.clear();
}

bool RingOut::reopen() {
  return output() != nullptr &&
         act("go on with " + state_.output().name, [](State& state) { reopen(state.output()); });
}

}  // namespace brink::show
