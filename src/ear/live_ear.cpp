#include "ear/live_ear.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/error.h"
#include "base/time_of_day.h"
#include "base/units.h"
#include "cuts/propose.h"
#include "show/record_key.h"

namespace brink::ear {

bool has_sure_frequency(const detector::Ring& ring) noexcept {
  return ring.frequency_hz > 0.0 && std::isfinite(ring.frequency_sd_hz) &&
         3.0 * ring.frequency_sd_hz <= hearing_step_hz(ring.frequency_hz);
}

LiveEar::LiveEar(std::string trainee, cuts::Target target, KeepGuess keep)
    : keep_(std::move(keep)) {
  set_trainee(std::move(trainee));
  set_target(std::move(target));
}

void LiveEar::set_trainee(std::string trainee) {
  if (trainee.empty()) {
    throw base::Error("Ear training needs the trainee's name.");
  }
  trainee_ = std::move(trainee);
}

void LiveEar::set_target(cuts::Target target) {
  if (target.centres_hz.empty() || target.qs.empty()) {
    throw base::Error("Ear training needs an equaliser to set the guessed cuts on.");
  }
  target_ = std::move(target);
}

void LiveEar::end_round(Phase phase, Reason reason) noexcept {
  phase_ = phase;
  reason_ = reason;
}

bool LiveEar::is_anything_open() const noexcept {
  return std::any_of(
      sounding_.begin(), sounding_.end(), [](const Sounding& s) { return !s.is_spent; });
}

void LiveEar::open_if_any() noexcept {
  if (phase_ == Phase::kWaiting && is_blind_ && is_anything_open()) {
    end_round(Phase::kSounding, Reason::kNone);
  }
}

void LiveEar::hear(const show::SessionEvent& event, double now_s) {
  const auto known = std::find_if(sounding_.begin(), sounding_.end(), [&](const Sounding& s) {
    return s.tap == event.tap && s.ring.id == event.ring.id;
  });
  if (show::ends_ring(event.kind)) {
    if (known != sounding_.end()) {
      sounding_.erase(known);
    }
  } else if (known != sounding_.end()) {
    known->ring = event.ring;
  } else if (event.kind == show::EventKind::kRinging) {
    sounding_.push_back({event.tap, event.ring, now_s, !is_blind_});
  }
}

void LiveEar::on_event(const show::SessionEvent& event, double now_s) {
  if (event.kind == show::EventKind::kInputLost) {
    sounding_.clear();
  } else if (show::is_of_ring(event.kind)) {
    hear(event, now_s);
  }
  if (phase_ == Phase::kSounding && !is_anything_open()) {
    end_round(Phase::kUnscored, Reason::kGone);
  }
  open_if_any();
}

void LiveEar::set_blind(bool is_blind) noexcept {
  is_blind_ = is_blind;
  if (is_blind) {
    return;
  }
  for (Sounding& sounding : sounding_) {
    sounding.is_spent = true;
  }
  if (phase_ == Phase::kSounding) {
    end_round(Phase::kUnscored, Reason::kSeen);
  }
}

GuessResult LiveEar::score(const Sounding& sounding,
                           double now_s,
                           std::chrono::system_clock::time_point wall) const {
  GuessResult result;
  // The excess that follows from the growth, with the usual assumed loop delay.
  const double excess_db =
      std::max(0.0, sounding.ring.growth_db_per_s) * cuts::ProposeConfig{}.loop_delay_s;
  result.truth = {sounding.ring.frequency_hz, excess_db};
  result.score = score_guess(result.truth, ruler_.frequency_hz(), target_);
  show::GuessRecord& record = result.record;
  record.key = show::new_key();
  record.trainee = trainee_;
  record.guessed_at = base::wall_text(wall);
  record.exercise = "live";
  record.true_hz = sounding.ring.frequency_hz;
  record.guessed_hz = ruler_.frequency_hz();
  record.took_s = std::max(0.0, now_s - sounding.flagged_s);
  record.left_db = result.score.left_db;
  result.is_right = result.score.is_hit;
  return result;
}

std::optional<GuessResult> LiveEar::lock(double now_s, std::chrono::system_clock::time_point wall) {
  if (phase_ != Phase::kSounding) {
    return std::nullopt;
  }
  Sounding* nearest = nullptr;
  double nearest_cents = 0.0;
  for (Sounding& sounding : sounding_) {
    if (sounding.is_spent || !has_sure_frequency(sounding.ring)) {
      continue;
    }
    const double cents =
        std::abs(base::cents_between(ruler_.frequency_hz(), sounding.ring.frequency_hz));
    if (nearest == nullptr || cents < nearest_cents) {
      nearest = &sounding;
      nearest_cents = cents;
    }
  }
  if (nearest == nullptr) {
    for (Sounding& sounding : sounding_) {
      sounding.is_spent = true;  // the answer is shown from now on
    }
    end_round(Phase::kUnscored, Reason::kUnsure);
    return std::nullopt;
  }
  GuessResult result = score(*nearest, now_s, wall);
  nearest->is_spent = true;
  if (keep_) {
    keep_(result.record);
  }
  results_.push_back(result);
  end_round(Phase::kScored, Reason::kNone);
  return result;
}

void LiveEar::next(double now_s) {
  for (Sounding& sounding : sounding_) {
    sounding.flagged_s = sounding.is_spent ? sounding.flagged_s : now_s;
  }
  end_round(Phase::kWaiting, Reason::kNone);
  open_if_any();
}

}  // namespace brink::ear
