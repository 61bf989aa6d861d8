#include "ear/ear_session.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <utility>

#include "base/error.h"
#include "base/time_of_day.h"
#include "base/units.h"
#include "loop/random.h"
#include "show/record_key.h"
#include "show/session_event.h"

namespace brink::ear {
namespace {

const EarConfig& checked(const EarConfig& config) {
  if (config.trainee.empty()) {
    throw base::Error("Ear training needs the trainee's name.");
  }
  if (config.kinds.empty()) {
    throw base::Error("Ear training needs at least one kind of exercise.");
  }
  if (config.target.centres_hz.empty() || config.target.qs.empty()) {
    throw base::Error("Ear training needs an equaliser to set the guessed cuts on.");
  }
  return config;
}

/// Continues at the level of the trainee's last exercise of that kind.
Staircase staircase_for(ExerciseKind kind,
                        const EarConfig& config,
                        std::span<const show::GuessRecord> past) {
  const std::string word = kept_word(kind, config.by_note);
  const auto last = std::find_if(past.rbegin(), past.rend(), [&](const show::GuessRecord& guess) {
    return guess.trainee == config.trainee && guess.exercise == word;
  });
  return last == past.rend() ? Staircase(kHighestLevel, 0, false)
                             : Staircase(kHighestLevel, last->level, true);
}

}  // namespace

EarSession::EarSession(EarConfig config,
                       std::span<const show::GuessRecord> past,
                       KeepGuess keep,
                       Render render)
    : config_(std::move(config)),
      keep_(std::move(keep)),
      render_(std::move(render)),
      shares_(band_shares(past, checked(config_).trainee)) {
  for (const ExerciseKind kind : kExerciseKinds) {
    staircases_.push_back(staircase_for(kind, config_, past));
  }
  prepare();
}

int EarSession::level(ExerciseKind kind) const noexcept {
  return config_.fixed_level.value_or(staircases_[static_cast<std::size_t>(kind)].level());
}

void EarSession::prepare() {
  ++number_;
  // Each exercise has its own random numbers. So one guess more or less does not change the
  // exercises after it.
  std::seed_seq mixed{static_cast<std::uint32_t>(config_.seed),
                      static_cast<std::uint32_t>(config_.seed >> 32U),
                      static_cast<std::uint32_t>(number_)};
  std::array<std::uint32_t, 2> words{};
  mixed.generate(words.begin(), words.end());
  const std::uint64_t seed = (static_cast<std::uint64_t>(words[0]) << 32U) | words[1];
  loop::Random random{seed};
  const auto kind =
      config_.kinds[static_cast<std::size_t>(random.below(static_cast<int>(config_.kinds.size())))];
  exercise_ = render_(plan_exercise(kind, config_.by_note, level(kind), seed + 1, shares_));
  phase_ = Phase::kReady;
  all_right_ = true;
  open_.clear();
  for (std::size_t truth = 0; truth < exercise_.truths.size(); ++truth) {
    open_.push_back(truth);
  }
}

void EarSession::start(double now_s) noexcept {
  if (phase_ == Phase::kReady) {
    phase_ = Phase::kSounding;
    started_s_ = now_s;
  }
}

GuessResult EarSession::score(std::size_t truth_index,
                              double now_s,
                              std::chrono::system_clock::time_point wall) const {
  const ExercisePlan& plan = exercise_.plan;
  GuessResult result;
  result.truth = exercise_.truths[truth_index];
  result.score = score_guess(result.truth, ruler_.frequency_hz(), config_.target);
  show::GuessRecord& record = result.record;
  record.key = show::new_key();
  record.trainee = config_.trainee;
  record.guessed_at = base::wall_text(wall);
  record.exercise = kept_word(plan.kind, plan.by_note);
  record.seed = config_.seed;
  record.true_hz = result.truth.frequency_hz;
  record.guessed_hz = ruler_.frequency_hz();
  record.took_s = std::max(0.0, now_s - started_s_);
  record.level = plan.level;
  record.left_db = result.score.left_db;
  result.tolerance_cents = difficulty_at(plan.level).tolerance_cents;
  result.is_in_time = !exercise_.loud_s || record.took_s <= *exercise_.loud_s;
  const double limit_cents =
      std::max(result.tolerance_cents, hearing_step_cents(result.truth.frequency_hz));
  result.is_right = result.is_in_time && std::abs(result.score.error_cents) <= limit_cents;
  return result;
}

std::optional<GuessResult> EarSession::lock(double now_s,
                                            std::chrono::system_clock::time_point wall) {
  if (phase_ != Phase::kSounding) {
    return std::nullopt;
  }
  const auto distance = [&](std::size_t truth) {
    return std::abs(
        base::cents_between(ruler_.frequency_hz(), exercise_.truths[truth].frequency_hz));
  };
  const auto nearest = std::min_element(
      open_.begin(), open_.end(), [&](auto a, auto b) { return distance(a) < distance(b); });
  GuessResult result = score(*nearest, now_s, wall);
  open_.erase(nearest);
  if (keep_) {
    keep_(result.record);
  }
  results_.push_back(result);
  all_right_ = all_right_ && result.is_right;
  if (open_.empty()) {
    phase_ = Phase::kScored;
    staircases_[static_cast<std::size_t>(exercise_.plan.kind)].answer(all_right_);
  }
  return result;
}

void EarSession::give_up() noexcept {
  if (phase_ == Phase::kReady || phase_ == Phase::kSounding) {
    phase_ = Phase::kUnscored;
    open_.clear();
  }
}

void EarSession::next() {
  give_up();
  prepare();
}

}  // namespace brink::ear
