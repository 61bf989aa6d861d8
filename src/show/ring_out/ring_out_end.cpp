// What RingOut does when something comes back, and when an output is ended.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "show/ring_out/ring_out.h"

namespace brink::show {

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
