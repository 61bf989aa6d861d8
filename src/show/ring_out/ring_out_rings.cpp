// What RingOut makes of the rings that are heard: what is offered, proposed, and where it stands.

#include <algorithm>
#include <utility>

#include "cuts/band.h"
#include "show/ring_measurement.h"
#include "show/ring_out/ring_out.h"

namespace brink::show {

using detector::RingState;

namespace {

/// What a cut follows from, of a ring in the record.
cuts::RingMeasurement measurement_of(const show::RingRecord& ring) {
  return {.frequency_hz = ring.frequency_hz,
          .frequency_sd_hz = ring.frequency_sd_hz,
          .growth_db_per_s = ring.growth_db_per_s};
}

/// Certain and sounding, certain and over, building.
int rank(const CaughtRing& heard) noexcept {
  if (!heard.caught->is_certain) {
    return 2;
  }
  return heard.live->is_sounding() ? 0 : 1;
}

bool comes_first(const CaughtRing& a, const CaughtRing& b) noexcept {
  if (rank(a) != rank(b)) {
    return rank(a) < rank(b);
  }
  if (rank(a) == 1) {
    return a.caught->tick > b.caught->tick;
  }
  return a.live->ring.level_dbfs > b.live->ring.level_dbfs;
}

}  // namespace

// What is offered.

std::optional<std::size_t> RingOut::dismissal_at(double frequency_hz) const {
  const auto& dismissals = state_.record.dismissals;
  const auto found = std::find_if(dismissals.begin(), dismissals.end(), [&](const auto& it) {
    return is_same_place(it.frequency_hz, frequency_hz);
  });
  return found == dismissals.end()
             ? std::nullopt
             : std::optional(static_cast<std::size_t>(found - dismissals.begin()));
}

/// It was cut, or a cut was logged at its place after it was caught: a ring may sound on several
/// taps.
bool RingOut::is_served(const CaughtRing& heard) const {
  return !is_again(heard.live->id) &&
         std::any_of(state_.links.begin(), state_.links.end(), [&](const Link& link) {
           const show::RoundRecord& round = state_.record.outputs[link.output].rounds[link.round];
           const bool is_its =
               link.ring == heard.live->id ||
               (link.cut_tick > heard.caught->tick &&
                is_same_place(round.ring.frequency_hz, heard.live->ring.frequency_hz));
           return is_its && round.cut;
         });
}

bool RingOut::is_again(std::uint64_t ring) const {
  const auto& again = state_.again;
  return std::find(again.begin(), again.end(), ring) != again.end();
}

bool RingOut::is_offered(const CaughtRing& heard) const {
  const auto& gone = state_.let_go;
  // What was left when its output was done is over with it.
  const bool is_left =
      output() != nullptr && output()->is_ended && heard.caught->tick <= state_.done_tick;
  const bool is_here =
      heard.live->is_sounding() || (heard.caught->output == state_.chosen.value_or(0) && !is_left);
  return is_here && !dismissal_at(heard.live->ring.frequency_hz) && !is_served(heard) &&
         std::find(gone.begin(), gone.end(), heard.live->id) == gone.end();
}

std::vector<CaughtRing> RingOut::offered_rings() const {
  std::vector<CaughtRing> all;
  for (const CaughtRing& heard : caught_.all(rings_)) {
    if (is_offered(heard)) {
      all.push_back(heard);
    }
  }
  std::stable_sort(all.begin(), all.end(), comes_first);
  std::vector<CaughtRing> once;
  for (const CaughtRing& heard : all) {
    if (std::none_of(once.begin(), once.end(), [&](const CaughtRing& other) {
          return is_same_place(other.live->ring.frequency_hz, heard.live->ring.frequency_hz);
        })) {
      once.push_back(heard);
    }
  }
  return once;
}

std::optional<CaughtRing> RingOut::find_offered(std::uint64_t ring) const {
  const auto heard = caught_.find(ring, rings_);
  return heard && is_offered(*heard) ? heard : std::nullopt;
}

std::vector<OfferedRing> RingOut::offered() const {
  std::vector<OfferedRing> offered;
  for (const CaughtRing& heard : offered_rings()) {
    OfferedRing& row = offered.emplace_back();
    row.id = heard.live->id;
    row.tap = heard.live->tap;
    row.ring = heard.live->ring;
    row.now = heard.live->now();
    row.is_certain = heard.caught->is_certain;
    if (!row.is_certain) {
      row.now.flagged_sample = detector::kNever;  // in this show it was not
    }
    row.flagged_at = heard.caught->flagged_at;
    row.rang_at_db = rang_at_db(heard);
    if (const Proposal* proposal = proposal_for(heard)) {
      row.proposal = *proposal;
    }
  }
  return offered;
}

std::vector<DismissedRing> RingOut::dismissed_sounding() const {
  std::vector<CaughtRing> sounding;
  for (const CaughtRing& heard : caught_.all(rings_)) {
    if (heard.live->is_sounding() && heard.caught->is_certain) {
      sounding.push_back(heard);
    }
  }
  std::stable_sort(sounding.begin(), sounding.end(), comes_first);
  std::vector<DismissedRing> dismissed;
  for (const CaughtRing& heard : sounding) {
    const auto dismissal = dismissal_at(heard.live->ring.frequency_hz);
    // Once for each dismissal, however many taps hear it.
    if (dismissal && std::none_of(dismissed.begin(), dismissed.end(), [&](const auto& one) {
          return one.dismissal == *dismissal;
        })) {
      dismissed.push_back({heard.live->ring.frequency_hz, *dismissal});
    }
  }
  return dismissed;
}

// Proposals.

/// Holds the cut that the ring asks for, and not its measurement, which changes with each event: a
/// proposal stays as long as that cut stays.
ProposalInput RingOut::input_for(const CaughtRing& heard) const {
  ProposalInput input;
  input.sample_rate_hz = config_.sample_rate_hz;
  input.wanted = cuts::propose_cut(
      to_measurement(heard.live->ring, heard.live->sample_rate_hz, heard.live->ring.onset_sample),
      config_.propose);
  if (const show::OutputRecord* at = output()) {
    input.target_text = at->target;
    input.cuts = at->cuts;
    for (const show::RoundRecord& round : at->rounds) {
      if (round.cut) {
        const auto asked = cuts::propose_cut(measurement_of(round.ring), config_.propose);
        input.rung.push_back({round.ring.frequency_hz, asked.q});
      }
    }
  }
  return input;
}

const Proposal* RingOut::proposal_for(const CaughtRing& heard) const {
  const auto kept = proposals_.find(heard.live->id);
  return kept != proposals_.end() && kept->second.input == input_for(heard) ? &kept->second.proposal
                                                                            : nullptr;
}

std::optional<ProposalInput> RingOut::next_to_propose() const {
  if (output() == nullptr) {
    return std::nullopt;
  }
  for (const CaughtRing& heard : offered_rings()) {
    if (proposal_for(heard) == nullptr) {
      return input_for(heard);
    }
  }
  return std::nullopt;
}

void RingOut::take_proposal(const ProposalInput& input, const Proposal& proposal) {
  for (const CaughtRing& heard : caught_.all(rings_)) {
    if (input_for(heard) == input) {
      proposals_[heard.live->id] = {input, proposal};
    }
  }
}

void RingOut::propose_all() {
  while (const auto input = next_to_propose()) {
    take_proposal(*input, propose(*input));
  }
}

// Where it stands.

const RingOut::Link* RingOut::link_of_round(std::size_t round) const {
  const auto link = std::find_if(state_.links.begin(), state_.links.end(), [&](const Link& it) {
    return it.output == state_.chosen && it.round == round;
  });
  return link == state_.links.end() ? nullptr : &*link;
}

std::vector<RoundView> RingOut::rounds() const {
  std::vector<RoundView> views;
  if (output() == nullptr) {
    return views;
  }
  for (const show::RoundRecord& round : output()->rounds) {
    const Link* link = link_of_round(views.size());
    const LiveRing* live = link == nullptr ? nullptr : rings_.find(link->ring);
    RoundView view{RoundCheck::kOpen, won_db(round), &round};
    if (!round.cut) {
      view.check = RoundCheck::kToCut;
    } else if (round.returned_at_db) {
      view.check = RoundCheck::kReturned;
    } else if (round.has_faded) {
      view.check = RoundCheck::kFaded;
    } else if (live != nullptr && live->ring.state <= RingState::kRinging) {
      view.check = RoundCheck::kSounding;
    }
    views.push_back(view);
  }
  return views;
}

Phase RingOut::phase() const {
  const auto offered = offered_rings();
  if (output() == nullptr) {
    return Phase::kPrepare;
  }
  // One that is over waits no longer once the output is done.
  const bool is_done = output()->is_ended;
  if (!offered.empty() && offered.front().caught->is_certain &&
      (offered.front().live->is_sounding() || !is_done)) {
    return Phase::kCatch;
  }
  const auto views = rounds();
  if (!views.empty() && views.back().check == RoundCheck::kSounding) {
    return Phase::kCheck;
  }
  if (is_done) {
    return Phase::kDone;
  }
  const bool is_ready = output()->prepared.size() >= prepare_points().size();
  return views.empty() && !is_ready ? Phase::kPrepare : Phase::kRaise;
}

const char* RingOut::instruction() const {
  const Phase now = phase();
  if (now == Phase::kDone && are_all_done()) {
    return state_.record.check ? "Done, and checked with all outputs open."
                               : "All done: open all, log the last check.";
  }
  if (advice().kind == Advice::Kind::kStop && now == Phase::kCatch) {
    return "Pull the fader down, and back off.";
  }
  if (advice().kind == Advice::Kind::kStop && now == Phase::kRaise) {
    return "Back off: this output is rung out.";
  }
  return show::instruction(now);
}

bool RingOut::are_all_done() const {
  const auto& outputs = state_.record.outputs;
  return !outputs.empty() && std::all_of(outputs.begin(), outputs.end(), [](const auto& output) {
    return output.is_ended;
  });
}

/// The chosen output's fader where a ring rang. Usually that is where it was caught. A ring that
/// was caught while another output was chosen, or that its cut did not stop, rings where the fader
/// stands now. When such a ring is over, the record says where it rang.
std::optional<double> RingOut::rang_at_db(const CaughtRing& heard) const {
  if (heard.caught->output == state_.chosen && !is_again(heard.live->id)) {
    return heard.caught->rang_at_db;
  }
  if (heard.live->ring.state <= RingState::kRinging) {
    return fader_db();
  }
  const auto link = std::find_if(state_.links.rbegin(), state_.links.rend(), [&](const Link& it) {
    return it.ring == heard.live->id && it.output == state_.chosen;
  });
  if (link == state_.links.rend()) {
    return std::nullopt;
  }
  const show::RoundRecord& round = output()->rounds[link->round];
  return is_again(heard.live->id) ? round.returned_at_db : round.rang_at_db;
}

Advice RingOut::advice() const {
  if (output() == nullptr) {
    return {};
  }
  std::vector<std::optional<double>> caught_at_db;
  for (const CaughtRing& heard : offered_rings()) {
    if (heard.caught->is_certain &&
        heard.live->is_sounding()) {  // what is over rings at once with nothing
      caught_at_db.push_back(rang_at_db(heard));
    }
  }
  return advise(*output(), caught_at_db);
}

cuts::Setting RingOut::cuts() const {
  return output() == nullptr ? cuts::Setting{} : cuts::to_setting(output()->cuts);
}

int RingOut::bands_left() const {
  const cuts::Setting setting = cuts();
  return std::max(target_.bands - static_cast<int>(setting.cuts.size()), 0);
}

}  // namespace brink::show
