#include "show/ring_out/ring_out.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include "base/error.h"
#include "base/time_of_day.h"
#include "show/kept_target.h"

namespace brink::show {
namespace {

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
  if (state.chosen != state_.chosen) {
    chosen_before_ = state_.chosen;
    chosen_at_s_ = heard_s_;
  }
  state_ = std::move(state);
  opens_all_ = (opens_all_ && are_same) || are_all_done();
  ++tick_;
}

/// One step of undo, if anything changes.
bool RingOut::act(const std::string& what, const std::function<void(State&)>& change) {
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

/// As a console shows it; also keeps steps of 0.1 dB from summing up rounding.
double RingOut::legal_fader_db(double fader_db) noexcept {
  return std::round(std::clamp(fader_db, kLowestFaderDb, kHighestFaderDb) * 100.0) / 100.0;
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

}  // namespace brink::show
