// What RingOut does with a ring that is offered, and with the cuts in the equaliser.

#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "base/time_of_day.h"
#include "show/cut_words.h"
#include "show/kept_target.h"
#include "show/ring_out/ring_out.h"

namespace brink::show {
namespace {

bool is_usable(const cuts::Band& cut) noexcept {
  const bool is_finite =
      std::isfinite(cut.centre_hz) && std::isfinite(cut.q) && std::isfinite(cut.depth_db);
  return is_finite && cut.centre_hz > 0.0 &&
         (cuts::is_high_pass(cut) || (cut.q > 0.0 && cut.depth_db < 0.0));
}

}  // namespace

std::optional<Proposal> RingOut::final_proposal(const CaughtRing& heard,
                                                const std::optional<cuts::Band>& edited) {
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

bool RingOut::log_cut(std::uint64_t ring, const std::optional<cuts::Band>& edited) {
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
                heard->live->ring.confidence,
                heard->live->laeq_1s_db};
  round.microphone = microphone_words(heard->live->tap, heard->live->shares, rings_.names(), false);
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

bool RingOut::edit_cut(std::size_t cut, const cuts::Band& edited) {
  if (output() == nullptr || cut >= output()->cuts.size() || !is_usable(edited)) {
    return false;
  }
  const cuts::Band now = nearest_on(target_, edited);
  return act("change to " + cut_text(now), [&](State& state) {
    show::OutputRecord& output = state.output();
    reopen(output);
    const cuts::Band was = std::exchange(output.cuts[cut], now);
    for (show::RoundRecord& round : output.rounds) {
      if (round.cut == was) {
        round.cut = now;
      }
    }
  });
}

bool RingOut::add_cut(const cuts::Band& cut) {
  if (output() == nullptr || !is_usable(cut)) {
    return false;
  }
  const cuts::Band fitted = nearest_on(target_, cut);
  return act("add " + cut_text(fitted), [&](State& state) {
    reopen(state.output());
    state.output().cuts.push_back(fitted);
  });
}

bool RingOut::log_sweep(show::SweepRecord sweep) {
  if (output() == nullptr) {
    return false;
  }
  std::erase_if(sweep.cuts, [](const cuts::Band& cut) { return !is_usable(cut); });
  for (cuts::Band& cut : sweep.cuts) {
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
    const cuts::Band was = output.cuts[cut];
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

}  // namespace brink::show
