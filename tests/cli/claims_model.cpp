#include "cli/claims_model.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace brink::tests {
namespace {

constexpr double kSilenceDbfs = -80.0;

bool is_near(double a, double b) {
  return std::abs(a - b) < 1e-6;
}

/// As docs/ring-out.md says it: within half a percent, or 1 Hz where that is more.
bool is_one_place(double a_hz, double b_hz) {
  return std::abs(a_hz - b_hz) <= std::max(1.0, 0.005 * std::min(a_hz, b_hz));
}

bool is_dismissed(const show::ShowRecord& show, double frequency_hz) {
  return std::any_of(show.dismissals.begin(), show.dismissals.end(), [&](const auto& it) {
    return is_one_place(it.frequency_hz, frequency_hz);
  });
}

}  // namespace

void ClaimsModel::change() {
  listen_anew();
  checked_.reset();
}

void ClaimsModel::listen_anew() {
  changed_ = ++now_;
  sound_s_ = 0.0;
  loudest_dbfs_ = -1000.0;
  in_place_.clear();
}

void ClaimsModel::move_fader(const std::string& output, double fader_db) {
  faders_db_[output] = fader_db;
}

void ClaimsModel::say_in_place(const std::string& output) {
  auto in_place = in_place_;
  listen_anew();
  in_place_ = std::move(in_place);
  in_place_[output] = true;
}

std::optional<double> ClaimsModel::fader_db(const std::string& output) const {
  const auto found = faders_db_.find(output);
  return found == faders_db_.end() ? std::nullopt : std::optional(found->second);
}

void ClaimsModel::log_cut(const std::string& output, const std::string& flagged_at) {
  ++now_;
  // A ring of another output that sounds on rings because this one is up where it is.
  if (const auto at_db = fader_db(output)) {
    const auto ring = std::find_if(
        rings_.begin(), rings_.end(), [&](const Ring& it) { return it.flagged_at == flagged_at; });
    if (ring != rings_.end() && ring->rings) {
      places_.push_back({output, *at_db, now_, ring->frequency_hz, flagged_at});
    }
  }
  cuts_.push_back({output, flagged_at, ++now_});
}

void ClaimsModel::mark_returned(const std::string& output, double fader_db) {
  places_.push_back({output, fader_db, ++now_});
}

void ClaimsModel::restart() {
  for (Ring& ring : rings_) {
    ring.rings = false;
    ring.is_over = true;
    ring.stopped = ring.stopped == 0 ? ++now_ : ring.stopped;
  }
  for (Place& place : places_) {
    place.is_fresh = false;
  }
  faders_db_.clear();
  listen_anew();
}

void ClaimsModel::certain(std::uint32_t id,
                          double frequency_hz,
                          std::string flagged_at,
                          std::string output) {
  ++now_;
  if (const auto at_db = fader_db(output)) {
    places_.push_back({output, *at_db, now_, frequency_hz, flagged_at});
  }
  rings_.push_back(
      {id, frequency_hz, std::move(flagged_at), std::move(output), true, false, now_, 0});
}

void ClaimsModel::stopped(std::uint32_t id, bool is_over) {
  ++now_;
  for (Ring& ring : rings_) {
    if (ring.id != id || ring.is_over) {
      continue;
    }
    if (ring.rings) {
      ring.stopped = now_;
      const auto cut = std::find_if(cuts_.rbegin(), cuts_.rend(), [&](const Cut& it) {
        return it.flagged_at == ring.flagged_at;
      });
      if (cut != cuts_.rend()) {
        const auto at_db = fader_db(cut->output);
        // It rang there or lower before the cut, or nobody ever said where the fader stands.
        const bool is_up = std::any_of(places_.begin(), places_.end(), [&](const Place& place) {
          return at_db && place.output == cut->output && place.flagged_at == ring.flagged_at &&
                 place.fader_db <= *at_db + 1e-6;
        });
        if (is_up || !at_db) {
          faded_.push_back(ring.flagged_at);
        }
      }
    }
    ring.rings = false;
    ring.is_over = ring.is_over || is_over;
  }
}

void ClaimsModel::lost_input() {
  ++now_;
  for (Ring& ring : rings_) {
    ring.stopped = ring.rings ? now_ : ring.stopped;
    ring.rings = false;
    ring.is_over = true;
  }
  listen_anew();
}

void ClaimsModel::sound(double passed_s, double peak_dbfs, const std::string& output) {
  if (peak_dbfs <= kSilenceDbfs) {
    return;
  }
  sound_s_ += passed_s;
  loudest_dbfs_ = std::max(loudest_dbfs_, peak_dbfs);
  if (const auto at_db = fader_db(output); at_db && sound_s_ > 0.999) {
    tried_db_[output].push_back(*at_db);
  }
}

bool ClaimsModel::is_all_in_place(const show::ShowRecord& show) const {
  return !show.outputs.empty() &&
         std::all_of(show.outputs.begin(), show.outputs.end(), [&](const show::OutputRecord& it) {
           const auto found = in_place_.find(it.name);
           return it.is_ended && found != in_place_.end() && found->second;
         });
}

/// Something rang on the output with its fader there, after that moment, and nobody has said since
/// that it was no ring.
bool ClaimsModel::is_place(const show::ShowRecord& show,
                           const std::string& output,
                           double fader_db,
                           int after) const {
  return std::any_of(places_.begin(), places_.end(), [&](const Place& place) {
    const bool is_taken_back =
        place.frequency_hz > 0.0 && place.is_fresh && is_dismissed(show, place.frequency_hz);
    return place.output == output && is_near(place.fader_db, fader_db) && place.moment > after &&
           !is_taken_back;
  });
}

bool ClaimsModel::was_faded(const std::string& flagged_at) const {
  return std::find(faded_.begin(), faded_.end(), flagged_at) != faded_.end();
}

int ClaimsModel::cut_moment(const std::string& output, const std::string& flagged_at) const {
  const auto cut = std::find_if(cuts_.begin(), cuts_.end(), [&](const Cut& it) {
    return it.output == output && it.flagged_at == flagged_at;
  });
  return cut == cuts_.end() ? -1 : cut->moment;
}

std::string ClaimsModel::fault_in(const show::ShowRecord& show,
                                  const show::OutputRecord& output) const {
  const bool rang = !output.rounds.empty() || output.start_at_db;
  for (std::size_t i = 0; i < output.rounds.size(); ++i) {
    const show::RoundRecord& round = output.rounds[i];
    const int cut = cut_moment(output.name, round.ring.flagged_at);
    if (cut < 0) {
      return fmt::format("round {} is of a ring that was never logged there", i + 1);
    }
    const bool is_known =
        !round.rang_at_db || std::any_of(places_.begin(), places_.end(), [&](const Place& place) {
          return place.output == output.name && is_near(place.fader_db, *round.rang_at_db) &&
                 (place.flagged_at == round.ring.flagged_at || place.flagged_at.empty());
        });
    if (!is_known) {
      return fmt::format("round {} rang at {} dB, where nothing did", i + 1, *round.rang_at_db);
    }
    if (round.returned_at_db && !is_place(show, output.name, *round.returned_at_db, cut)) {
      return fmt::format("round {} came back at {} dB, where nothing was caught after its cut",
                         i + 1,
                         *round.returned_at_db);
    }
    if (round.has_faded && !was_faded(round.ring.flagged_at)) {
      return fmt::format("round {} faded, which nobody heard", i + 1);
    }
  }
  if (output.rounds.empty() && output.start_at_db &&
      !is_place(show, output.name, *output.start_at_db, 0)) {
    return fmt::format("rang first at {} dB, where nothing did", *output.start_at_db);
  }
  if (!output.is_ended && (output.back_off_db || !output.advice.empty())) {
    return "a margin, or a reason for its end, of an open output";
  }
  if (!rang && (output.back_off_db || !output.advice.empty())) {
    return "a margin, or a reason for its end, without a ring";
  }
  if (output.tried_to_db) {
    const auto tried = tried_db_.find(output.name);
    const bool is_true = tried != tried_db_.end() &&
                         std::any_of(tried->second.begin(), tried->second.end(), [&](double at_db) {
                           return is_near(at_db, *output.tried_to_db);
                         });
    if (!is_true) {
      return fmt::format("tried up to {} dB, where nobody listened", *output.tried_to_db);
    }
  }
  return {};
}

std::string ClaimsModel::check(const show::ShowRecord& show) {
  checked_ = show.check;
  if (!checked_ || !is_all_in_place(show)) {
    return "a check with an output that is not in its place";
  }
  if (checked_->listened_s < 9.999 || checked_->listened_s > sound_s_ + 1e-6) {
    return fmt::format("a check of {} s with {} s of sound", checked_->listened_s, sound_s_);
  }
  if (checked_->loudest_dbfs > loudest_dbfs_ + 1e-6) {
    return "a check that is louder than what was heard";
  }
  for (const Ring& ring : rings_) {
    if (ring.caught > changed_ && !is_dismissed(show, ring.frequency_hz) &&
        std::none_of(checked_->rang_hz.begin(), checked_->rang_hz.end(), [&](double frequency_hz) {
          return is_one_place(frequency_hz, ring.frequency_hz);
        })) {
      return fmt::format("a check that does not know of {} Hz", ring.frequency_hz);
    }
  }
  for (const double frequency_hz : checked_->rang_hz) {
    const bool rang = std::any_of(rings_.begin(), rings_.end(), [&](const Ring& ring) {
      const bool sounded = ring.stopped == 0 || ring.stopped > changed_;
      return sounded && is_near(ring.frequency_hz, frequency_hz);
    });
    if (!rang) {
      return fmt::format("a check in which {} Hz rang, and it did not", frequency_hz);
    }
  }
  return {};
}

std::string ClaimsModel::fault_in(const show::ShowRecord& show) const {
  for (const show::OutputRecord& output : show.outputs) {
    if (auto fault = fault_in(show, output); !fault.empty()) {
      return output.name + ": " + fault;
    }
  }
  return show.check == checked_ ? "" : "a check of something else than what stands now";
}

}  // namespace brink::tests
