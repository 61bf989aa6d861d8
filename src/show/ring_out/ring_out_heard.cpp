// What RingOut takes into the record because it was heard: undo does not take it back.

#include <algorithm>

#include "show/ring_out/ring_out.h"

namespace brink::show {

using detector::RingState;

namespace {

/// The same round in another state of the show; after a restart nothing else tells.
bool is_same_round(const std::vector<show::RoundRecord>& rounds,
                   const std::vector<show::RoundRecord>& others) {
  return rounds.size() == others.size() &&
         (rounds.empty() || rounds.back().ring == others.back().ring);
}

}  // namespace

/// Holds in every state of the history too; `change` leaves those alone that it cannot be of.
void RingOut::observe(const std::function<void(State&)>& change) {
  history_.amend(change);
  State state = state_;
  change(state);
  if (state != state_) {
    replace(std::move(state));
  }
}

/// A ring is known some tenths of a second after it began. When another output was chosen in
/// between, it is a ring of the one before.
CaughtRings::Moment RingOut::moment_of(const SessionEvent& event) const noexcept {
  const double onset_s = static_cast<double>(event.ring.onset_sample) / event.sample_rate_hz;
  const bool is_older = chosen_before_ && onset_s < chosen_at_s_;
  const std::size_t output = is_older ? *chosen_before_ : state_.chosen.value_or(0);
  return {tick_, output, fader_db(output)};
}

void RingOut::on_event(const SessionEvent& event) {
  if (!is_of_ring(event.kind)) {
    return;
  }
  ++tick_;
  const auto change = rings_.take(event);
  const bool is_caught = caught_.take(change.id, event, moment_of(event));
  if (is_undoing_ && is_caught) {
    heard_while_undoing_.push_back(change.id);
  }
  const bool did_sound =
      change.before == RingState::kBuilding || change.before == RingState::kRinging;
  if (did_sound && (event.kind == EventKind::kFading || event.kind == EventKind::kGone)) {
    note_end(change.id);
  }
  note_returns();
  forget_rings();
}

void RingOut::on_tracks(int tap, std::span<const detector::TrackView> tracks) noexcept {
  rings_.follow(tap, tracks);
}

void RingOut::on_break() {
  ++tick_;
  rings_.end_all();
  listen_anew();
  forget_rings();
}

void RingOut::on_other_source() {
  on_break();
  rings_.begin_session();
  heard_s_ = chosen_at_s_ = 0.0;  // another stream
}

/// What is not in the list of live rings any more.
void RingOut::forget_rings() {
  caught_.forget_all_but(rings_);
  std::erase_if(proposals_, [&](const auto& kept) { return rings_.find(kept.first) == nullptr; });
}

/// A ring that was loud fades, or is gone.
void RingOut::note_end(std::uint64_t ring) {
  constexpr double kSettleS = 2.0;  // of one that was caught before the loop was changed last
  const auto heard = caught_.find(ring, rings_);
  if (heard && heard->caught->is_certain && listening_.sound_s() > kSettleS) {
    rang_through_hz_.push_back(heard->live->ring.frequency_hz);
  }
  mark_faded(ring);
}

/// A ring that fades while the fader stands where it rang, or higher, fades because of its cut.
/// When the fader's place was told only after the cut, nothing is proved: it may have been moved.
void RingOut::mark_faded(std::uint64_t ring) {
  const auto link = std::find_if(
      state_.links.rbegin(), state_.links.rend(), [&](const Link& it) { return it.ring == ring; });
  if (link == state_.links.rend()) {
    return;
  }
  const show::RoundRecord& round = state_.record.outputs[link->output].rounds[link->round];
  const auto& up_db = round.rang_at_db ? round.rang_at_db : link->fader_db;
  const auto& fader = faders_db_[link->output];
  if (!round.cut || (fader && (!up_db || *fader < *up_db))) {
    return;
  }
  observe([faded = *link](State& state) {
    if (std::find(state.links.begin(), state.links.end(), faded) != state.links.end()) {
      state.record.outputs[faded.output].rounds[faded.round].has_faded = true;
    }
  });
}

bool RingOut::was_heard_while_undoing(std::uint64_t ring) const {
  const auto& rings = heard_while_undoing_;
  return std::find(rings.begin(), rings.end(), ring) != rings.end();
}

bool RingOut::was_heard_after_last_cut(const CaughtRing& heard) const {
  const Link* link = link_of_round(output()->rounds.size() - 1);
  return link == nullptr || link->cut_tick < heard.caught->tick;
}

/// Whether this ring shows where something came back after the last round's cut. A ring elsewhere
/// at the same fader position does not: it rang together with the last one, or was covered by it.
/// What both cuts win shows when the fader goes up again.
bool RingOut::is_back(const show::RoundRecord& last, const CaughtRing& heard) const {
  const auto at_db = rang_at_db(heard);
  const bool is_elsewhere = !is_same_place(last.ring.frequency_hz, heard.live->ring.frequency_hz);
  return at_db && last.cut && !last.returned_at_db && !was_heard_while_undoing(heard.live->id) &&
         was_heard_after_last_cut(heard) && !(last.rang_at_db == at_db && is_elsewhere);
}

void RingOut::let_return(State& state, const CaughtRing& heard) const {
  auto& rounds = state.output().rounds;
  if (!rounds.empty() && is_back(rounds.back(), heard)) {
    rounds.back().returned_at_db = rang_at_db(heard);
    state.returns.push_back(
        {heard.live->id, *state.chosen, rounds.size() - 1, heard.live->ring.frequency_hz});
  }
}

/// What a caught ring says of the chosen output, if the record does not say it yet.
std::optional<RingOut::Return> RingOut::news_of(const CaughtRing& heard) const {
  if (!heard.caught->is_certain || heard.caught->output != state_.chosen ||
      !heard.caught->rang_at_db || is_again(heard.live->id) ||
      was_heard_while_undoing(heard.live->id)) {
    return std::nullopt;
  }
  const auto& rounds = output()->rounds;
  Return news{heard.live->id, *state_.chosen, std::nullopt, heard.live->ring.frequency_hz};
  if (rounds.empty()) {
    return output()->start_at_db ? std::nullopt : std::optional(news);
  }
  news.round = rounds.size() - 1;
  return is_back(rounds.back(), heard) ? std::optional(news) : std::nullopt;
}

/// Whether the user, in that state, has let the ring go or dismissed its place.
bool RingOut::is_refused(const State& state, const Return& news) {
  const auto& gone = state.let_go;
  const auto& dismissals = state.record.dismissals;
  return std::find(gone.begin(), gone.end(), news.ring) != gone.end() ||
         std::any_of(dismissals.begin(), dismissals.end(), [&](const auto& dismissal) {
           return is_same_place(dismissal.frequency_hz, news.frequency_hz);
         });
}

/// Writes rings that are caught at the chosen output into the record at once, so that nothing that
/// a screen says of them is lost.
void RingOut::note_returns() {
  if (output() == nullptr || output()->is_ended) {
    return;
  }
  for (const CaughtRing& heard : offered_rings()) {
    const auto news = news_of(heard);
    if (!news) {
      continue;
    }
    const auto rounds = output()->rounds;
    observe([&](State& state) {
      if (news->output >= state.record.outputs.size() || is_refused(state, *news)) {
        return;
      }
      show::OutputRecord& output = state.record.outputs[news->output];
      if (output.is_ended || !is_same_round(output.rounds, rounds)) {
        return;
      }
      auto& at_db = news->round ? output.rounds.back().returned_at_db : output.start_at_db;
      if (!at_db) {
        at_db = heard.caught->rang_at_db;
        state.returns.push_back(*news);
      }
    });
  }
}

/// Takes back that something came back, or first rang, with the rings that are meant.
void RingOut::withdraw(State& state, const std::function<bool(const Return&)>& is_meant) {
  for (const Return& it : state.returns) {
    show::OutputRecord& output = state.record.outputs[it.output];
    if (!is_meant(it)) {
      continue;
    }
    if (it.round && *it.round < output.rounds.size()) {
      output.rounds[*it.round].returned_at_db.reset();
    } else if (!it.round && output.rounds.empty()) {
      output.start_at_db.reset();
    }
  }
  std::erase_if(state.returns, is_meant);
}

}  // namespace brink::show
