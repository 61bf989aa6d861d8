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
      certain_.begin(), certain_.end(), [](const Certain& one) { return !one.is_spent; });
}

void LiveEar::open_if_any() noexcept {
  if (phase_ == Phase::kWaiting && is_blind_ && is_anything_open()) {
    end_round(Phase::kSounding, Reason::kNone);
  }
}

void LiveEar::follow(const show::LiveRings& rings, double now_s) {
  std::erase_if(certain_, [&](const Certain& one) {
    const show::LiveRing* live = rings.find(one.ring);
    return live == nullptr || !live->is_sounding();
  });
  for (const show::LiveRing& live : rings.all()) {
    const bool is_known = std::any_of(
        certain_.begin(), certain_.end(), [&](const Certain& one) { return one.ring == live.id; });
    if (live.is_certain && live.is_sounding() && !is_known) {
      certain_.push_back({live.id, now_s, !is_blind_});
    }
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
  for (Certain& one : certain_) {
    one.is_spent = true;
  }
  if (phase_ == Phase::kSounding) {
    end_round(Phase::kUnscored, Reason::kSeen);
  }
}

GuessResult LiveEar::score(const detector::Ring& ring,
                           double took_s,
                           std::chrono::system_clock::time_point wall) const {
  GuessResult result;
  // The excess that follows from the growth, with the usual assumed loop delay.
  const double excess_db = std::max(0.0, ring.growth_db_per_s) * cuts::ProposeConfig{}.loop_delay_s;
  result.truth = {ring.frequency_hz, excess_db};
  result.score = score_guess(result.truth, ruler_.frequency_hz(), target_);
  show::GuessRecord& record = result.record;
  record.key = show::new_key();
  record.trainee = trainee_;
  record.guessed_at = base::wall_text(wall);
  record.exercise = "live";
  record.true_hz = ring.frequency_hz;
  record.guessed_hz = ruler_.frequency_hz();
  record.took_s = std::max(0.0, took_s);
  record.left_db = result.score.left_db;
  result.is_right = result.score.is_hit;
  return result;
}

std::optional<GuessResult> LiveEar::lock(const show::LiveRings& rings,
                                         double now_s,
                                         std::chrono::system_clock::time_point wall) {
  if (phase_ != Phase::kSounding) {
    return std::nullopt;
  }
  Certain* nearest = nullptr;
  const detector::Ring* truth = nullptr;
  double nearest_cents = 0.0;
  for (Certain& one : certain_) {
    const show::LiveRing* live = rings.find(one.ring);
    if (one.is_spent || live == nullptr || !has_sure_frequency(live->ring)) {
      continue;
    }
    const double cents =
        std::abs(base::cents_between(ruler_.frequency_hz(), live->ring.frequency_hz));
    if (nearest == nullptr || cents < nearest_cents) {
      nearest = &one;
      truth = &live->ring;
      nearest_cents = cents;
    }
  }
  if (nearest == nullptr) {
    for (Certain& one : certain_) {
      one.is_spent = true;  // the answer is shown from now on
    }
    end_round(Phase::kUnscored, Reason::kUnsure);
    return std::nullopt;
  }
  GuessResult result = score(*truth, now_s - nearest->flagged_s, wall);
  nearest->is_spent = true;
  if (keep_) {
    keep_(result.record);
  }
  results_.push_back(result);
  end_round(Phase::kScored, Reason::kNone);
  return result;
}

void LiveEar::next(double now_s) {
  for (Certain& one : certain_) {
    one.flagged_s = one.is_spent ? one.flagged_s : now_s;
  }
  end_round(Phase::kWaiting, Reason::kNone);
  open_if_any();
}

}  // namespace brink::ear
