// What RingOut says of its last check: what it needs, and what it heard.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/time_of_day.h"
#include "show/ring_out/ring_out.h"

namespace brink::show {
namespace {

/// A fader is read to this precision.
constexpr double kPlaceDb = 0.05;

std::string dressed(const show::OutputRecord& output) {
  return output.name.empty() ? "An output without a name" : output.name;
}

}  // namespace

/// Forgets which outputs are in place and what was heard.
void RingOut::listen_anew() {
  listening_.begin_anew();
  listening_tick_ = tick_;
  rang_through_hz_.clear();
  said_in_place_.clear();
}

void RingOut::void_check() {
  is_check_newest_ = false;
  listen_anew();
  if (state_.record.check) {
    state_.record.check.reset();
    ++revision_;
  }
}

void RingOut::see_faders(std::optional<std::vector<std::optional<double>>> faders_db) {
  if (seen_db_ != faders_db) {
    seen_db_ = std::move(faders_db);
    ++tick_;
    listen_anew();
  }
}

bool RingOut::say_in_place(std::size_t output) {
  if (seen_db_ || output >= state_.record.outputs.size()) {
    return false;
  }
  if (!displaced(output).empty()) {
    return false;
  }
  auto said = said_in_place_;
  said.resize(state_.record.outputs.size());
  said[output] = true;
  ++tick_;
  listen_anew();  // what was heard before may have been heard with it elsewhere
  said_in_place_ = std::move(said);
  return true;
}

/// Why the output is known not to be in place.
std::string RingOut::displaced(std::size_t output) const {
  const show::OutputRecord& record = state_.record.outputs.at(output);
  const auto leave_db = show::leave_at_db(record);
  const bool is_open = !seen_db_ || (output < seen_db_->size() && (*seen_db_)[output]);
  if (!is_open) {
    return fmt::format("{} is not open with its cuts in.", dressed(record));
  }
  const auto& stands_db = seen_db_ ? (*seen_db_)[output] : faders_db_[output];
  if (leave_db && stands_db && std::abs(*leave_db - *stands_db) > kPlaceDb) {
    return fmt::format("{} stands at {:+.1f} dB; its place is {:+.1f} dB.",
                       dressed(record),
                       *stands_db,
                       *leave_db);
  }
  if (!show::has_rung(record) && record.tried_to_db && stands_db &&
      *stands_db > *record.tried_to_db + kPlaceDb) {
    return fmt::format("{} stands at {:+.1f} dB; it was tried up to {:+.1f} dB only.",
                       dressed(record),
                       *stands_db,
                       *record.tried_to_db);
  }
  return {};
}

std::string RingOut::misplaced(std::size_t output) const {
  const bool is_said = output < said_in_place_.size() && said_in_place_[output];
  auto words = displaced(output);
  if (!words.empty() || seen_db_ || is_said) {
    return words;
  }
  const show::OutputRecord& record = state_.record.outputs[output];
  const auto leave_db = show::leave_at_db(record);
  return leave_db ? fmt::format("Say that {} is open at {:+.1f} dB.", dressed(record), *leave_db)
                  : fmt::format("Say that {} is open where it will stay.", dressed(record));
}

std::string RingOut::check_obstacle() const {
  const auto& outputs = state_.record.outputs;
  if (outputs.empty()) {
    return "There is no output yet.";
  }
  for (const show::OutputRecord& output : outputs) {
    if (!output.is_ended) {
      return fmt::format("{} is not ended yet: back it off first.", dressed(output));
    }
  }
  for (std::size_t output = 0; output < outputs.size(); ++output) {
    if (auto fault = misplaced(output); !fault.empty()) {
      return fault;
    }
  }
  if (listening_.sound_s() < kCheckS) {
    return fmt::format("{:.0f} of {:.0f} s are listened to{}.",
                       std::floor(listening_.sound_s()),
                       kCheckS,
                       listening_.hears() ? "" : ", and no sound comes");
  }
  return {};
}

/// For each frequency the pair that rang, as far as the list of live rings still has it.
std::vector<std::string> RingOut::pairs_of(const std::vector<double>& rang_hz) const {
  std::vector<std::string> pairs;
  for (const double frequency_hz : rang_hz) {
    std::string& pair = pairs.emplace_back();
    for (const LiveRing& live : rings_.all()) {
      if (live.is_certain && is_same_place(live.ring.frequency_hz, frequency_hz)) {
        pair = microphone_words(live.tap, live.shares, rings_.names(), true);
      }
    }
  }
  const bool is_known = std::any_of(
      pairs.begin(), pairs.end(), [](const std::string& pair) { return !pair.empty(); });
  return is_known ? pairs : std::vector<std::string>();
}

/// Every certain ring that the user did not dismiss. Each place counts once.
std::vector<double> RingOut::rang_since() const {
  std::vector<double> rang_hz;
  const auto add = [&](double frequency_hz) {
    const bool is_known = std::any_of(rang_hz.begin(), rang_hz.end(), [&](double known_hz) {
      return is_same_place(known_hz, frequency_hz);
    });
    if (!is_known && !dismissal_at(frequency_hz)) {
      rang_hz.push_back(frequency_hz);
    }
  };
  for (const double frequency_hz : rang_through_hz_) {
    add(frequency_hz);
  }
  for (const CaughtRing& heard : caught_.all(rings_)) {
    const bool rings = heard.live->ring.state <= detector::RingState::kRinging;
    if (heard.caught->is_certain && (rings || heard.caught->tick > listening_tick_)) {
      add(heard.live->ring.frequency_hz);
    }
  }
  return rang_hz;
}

bool RingOut::log_last_check(TimeOfDay now) {
  if (!check_obstacle().empty()) {
    return false;
  }
  state_.record.check = show::CheckRecord{.ended_at = base::wall_text(now),
                                          .listened_s = listening_.sound_s(),
                                          .loudest_dbfs = listening_.loudest_dbfs(),
                                          .rang_hz = rang_since()};
  state_.record.check->rang_in = pairs_of(state_.record.check->rang_hz);
  ++revision_;
  ++tick_;
  history_.forget_redo();
  is_check_newest_ = true;
  return true;
}

void RingOut::on_sound(const show::HeardSound& sound) {
  listening_.hear(sound);
  heard_s_ = sound.stream_s;
  // Nothing rang in it so far: it was tried up to here.
  constexpr double kTriedS = 1.0;
  const auto fader = fader_db();
  if (output() == nullptr || output()->is_ended || show::has_rung(*output()) || !fader ||
      listening_.sound_s() < kTriedS || output()->tried_to_db >= fader) {
    return;
  }
  observe([at = *state_.chosen, fader](State& state) {
    if (at < state.record.outputs.size()) {
      auto& tried_to_db = state.record.outputs[at].tried_to_db;
      tried_to_db = std::max(tried_to_db.value_or(*fader), *fader);
    }
  });
}

}  // namespace brink::show
