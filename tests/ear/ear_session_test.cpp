#include "ear/ear_session.h"

#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/units.h"
#include "loop/random.h"

using namespace brink;
using namespace brink::ear;
using namespace brink::show;
using Phase = EarSession::Phase;

namespace {

const std::chrono::system_clock::time_point kWall{std::chrono::seconds(1795000000)};

/// The plan's own frequencies as truth, so that many exercises take no time.
Exercise unrendered(const ExercisePlan& plan) {
  Exercise exercise;
  exercise.plan = plan;
  exercise.sample_rate_hz = kExerciseRateHz;
  for (const double wanted_hz : plan.wanted_hz) {
    exercise.truths.push_back({wanted_hz, 1.0});
  }
  if (plan.kind == ExerciseKind::kGrowing) {
    exercise.loud_s = 5.0;
  }
  return exercise;
}

EarConfig config_for(std::vector<ExerciseKind> kinds) {
  EarConfig config;
  config.trainee = "Ada";
  config.seed = 11;
  config.kinds = std::move(kinds);
  config.target = *cuts::find_target("third-octave");
  return config;
}

/// Answers each exercise with errors of this deviation; returns the frequencies that came.
std::vector<double> play(EarSession& session, int count, double error_cents, std::uint64_t seed) {
  loop::Random random{seed};
  std::vector<double> heard_hz;
  for (int i = 0; i < count; ++i) {
    session.start(0.0);
    for (const EarTruth& truth : session.exercise().truths) {
      heard_hz.push_back(truth.frequency_hz);
      session.ruler().place(truth.frequency_hz * std::exp2(error_cents * random.normal() / 1200.0));
      (void)session.lock(2.0, kWall);
    }
    session.next();
  }
  return heard_hz;
}

}  // namespace

TEST_CASE("a guess is scored, kept once and told") {
  std::vector<show::GuessRecord> kept;
  EarSession session(
      config_for({ExerciseKind::kPure}),
      {},
      [&](const show::GuessRecord& record) { kept.push_back(record); },
      unrendered);
  CHECK(session.phase() == Phase::kReady);
  CHECK(!session.lock(1.0, kWall).has_value());  // nobody has heard it
  session.start(10.0);
  session.start(12.0);  // again: the clock goes on
  const double true_hz = session.exercise().truths.at(0).frequency_hz;
  session.ruler().place(2.0 * true_hz);
  const auto result = session.lock(13.5, kWall);
  REQUIRE(result.has_value());
  CHECK(session.phase() == Phase::kScored);
  CHECK(!session.lock(14.0, kWall).has_value());
  REQUIRE(kept.size() == 1);
  CHECK(kept[0] == result->record);
  CHECK(kept[0].key.size() == 32);
  CHECK(kept[0].trainee == "Ada");
  CHECK(kept[0].exercise == "pure");
  CHECK(kept[0].seed == 11);
  CHECK(kept[0].took_s == doctest::Approx(3.5));
  CHECK(kept[0].true_hz == true_hz);
  CHECK(kept[0].guessed_hz == doctest::Approx(2.0 * true_hz));
  CHECK(result->score.octave_slip == 1);
  CHECK(kept[0].left_db == result->score.left_db);
  const auto line = nlohmann::json::parse(guess_json(*result));
  CHECK(line["schema"] == "brink/ear/1");
  CHECK(line["octave_slip"] == 1);
  CHECK(line["stops_ring"] == false);
  CHECK(guess_text(*result, false).find("1 octave off") != std::string::npos);
}

TEST_CASE("what is given up is unscored, never wrong") {
  int kept = 0;
  EarSession session(
      config_for({ExerciseKind::kPure}), {}, [&](const auto&) { ++kept; }, unrendered);
  const int level = session.level(ExerciseKind::kPure);
  session.start(0.0);
  session.give_up();
  CHECK(session.phase() == Phase::kUnscored);
  CHECK(!session.lock(1.0, kWall).has_value());
  session.next();
  session.start(0.0);
  session.next();
  CHECK(session.number() == 3);
  CHECK(kept == 0);
  CHECK(session.results().empty());
  CHECK(session.level(ExerciseKind::kPure) == level);
}

TEST_CASE("of two rings each guess takes the nearest that has none, and each is kept at its lock") {
  std::vector<show::GuessRecord> kept;
  EarSession session(
      config_for({ExerciseKind::kTwo}),
      {},
      [&](const show::GuessRecord& record) { kept.push_back(record); },
      unrendered);
  session.start(0.0);
  const double low_hz = session.exercise().truths.at(0).frequency_hz;
  const double high_hz = session.exercise().truths.at(1).frequency_hz;
  session.ruler().place(1.02 * high_hz);
  (void)session.lock(1.0, kWall);
  CHECK(session.phase() == Phase::kSounding);
  CHECK(session.guesses_left() == 1);
  REQUIRE(kept.size() == 1);
  CHECK(kept[0].true_hz == high_hz);
  (void)session.lock(2.0, kWall);  // the same again: only the low one is left
  CHECK(session.phase() == Phase::kScored);
  REQUIRE(kept.size() == 2);
  CHECK(kept[1].true_hz == low_hz);
}

TEST_CASE("a growing ring named after it got loud is not right") {
  EarSession session(config_for({ExerciseKind::kGrowing}), {}, {}, unrendered);
  for (const double took_s : {4.9, 5.1}) {
    session.start(0.0);
    session.ruler().place(session.exercise().truths.at(0).frequency_hz);
    const auto result = session.lock(took_s, kWall);
    REQUIRE(result.has_value());
    CHECK(result->is_in_time == (took_s < 5.0));
    CHECK(result->is_right == (took_s < 5.0));
    CHECK(result->score.is_hit);
    session.next();
  }
}

TEST_CASE("a session is repeatable by its seed, whatever is guessed") {
  const std::vector<ExerciseKind> all(kExerciseKinds.begin(), kExerciseKinds.end());
  EarSession good(config_for(all), {}, {}, unrendered);
  EarSession bad(config_for(all), {}, {}, unrendered);
  auto other_config = config_for(all);
  other_config.seed = 12;
  EarSession other(other_config, {}, {}, unrendered);
  EarSession same(config_for(all), {}, {}, unrendered);
  const auto heard_hz = play(good, 40, 50.0, 1);
  CHECK(heard_hz == play(same, 40, 50.0, 1));
  CHECK(heard_hz != play(other, 40, 50.0, 1));
  // Two rings are further apart at easier levels, so only single ones are compared.
  const std::vector<ExerciseKind> single{
      ExerciseKind::kPure, ExerciseKind::kVoice, ExerciseKind::kNoise};
  EarSession good_single(config_for(single), {}, {}, unrendered);
  EarSession bad_single(config_for(single), {}, {}, unrendered);
  CHECK(play(good_single, 40, 50.0, 1) == play(bad_single, 40, 2000.0, 2));
}

TEST_CASE("a real exercise renders the same for the same seed") {
  EarSession one(config_for({ExerciseKind::kPure}), {}, {});
  EarSession two(config_for({ExerciseKind::kPure}), {}, {});
  CHECK(!one.exercise().samples.empty());
  CHECK(one.exercise().samples == two.exercise().samples);
}

TEST_CASE("the past sets the level and the weak bands") {
  std::vector<show::GuessRecord> past;
  for (int i = 0; i < 8; ++i) {
    for (int band = kFirstEarBand; band <= kLastEarBand; ++band) {
      show::GuessRecord guess;
      guess.trainee = "Ada";
      guess.exercise = i == 7 ? "pure" : "voice";
      guess.level = 6;
      guess.true_hz = base::third_octave_centre_hz(band);
      guess.guessed_hz = band == 5 ? 100.0 : guess.true_hz;
      past.push_back(guess);
    }
  }
  EarSession session(config_for({ExerciseKind::kPure}), past, {}, unrendered);
  CHECK(session.level(ExerciseKind::kPure) == 6);
  CHECK(session.level(ExerciseKind::kMusic) == 0);
  constexpr int kCount = 1000;
  const auto heard_hz = play(session, kCount, 100.0, 4);
  const auto weak = std::count_if(heard_hz.begin(), heard_hz.end(), [](double hz) {
    return base::third_octave_index(hz) == 5;
  });
  // The rule: weights 0.9 against 18 of 0.1, a third of all; without a past a nineteenth. Four
  // standard deviations of a count.
  constexpr double kShare = 0.9 / 2.7;
  CHECK(std::abs(static_cast<double>(weak) - kCount * kShare) <
        4.0 * std::sqrt(kCount * kShare * (1.0 - kShare)));
}

// A trainee whose errors are spread normally with deviation s is right within +-t with probability
// erf(t / (s sqrt 2)), which is 0.7071 at t = 1.052 s (tables of the normal distribution: 0.8535
// one-sided). The mean of 2900 exercises, levels of 20 % apart, is known to about 1 %.
TEST_CASE("the tolerance settles where a trainee of known error is right 70.7 % of the time") {
  for (const double error_cents : {80.0, 150.0, 300.0}) {
    EarSession session(config_for({ExerciseKind::kPure}), {}, {}, unrendered);
    constexpr int kCount = 3000;
    (void)play(session, kCount, error_cents, 21);
    int right = 0;
    double log_tolerance = 0.0;
    const auto& results = session.results();
    for (std::size_t i = 100; i < results.size(); ++i) {
      right += results[i].is_right ? 1 : 0;
      log_tolerance += std::log(results[i].tolerance_cents);
    }
    const double tolerance_cents =
        std::exp(log_tolerance / static_cast<double>(results.size() - 100));
    MESSAGE("errors of " << error_cents << " cents: tolerance settles at " << tolerance_cents
                         << " cents (" << tolerance_cents / error_cents << " deviations), "
                         << 100.0 * right / static_cast<double>(results.size() - 100)
                         << " % right");
    CHECK(tolerance_cents / error_cents == doctest::Approx(1.052).epsilon(0.03));
  }
}

TEST_CASE("a class can have the same level throughout") {
  auto config = config_for({ExerciseKind::kPure});
  config.fixed_level = 5;
  EarSession session(config, {}, {}, unrendered);
  (void)play(session, 10, 2000.0, 3);
  CHECK(session.exercise().plan.level == 5);
}

TEST_CASE("a session without trainee, kind or target says so") {
  auto config = config_for({ExerciseKind::kPure});
  config.trainee.clear();
  CHECK_THROWS_AS(EarSession(config, {}, {}, unrendered), base::Error);
  CHECK_THROWS_AS(EarSession(config_for({}), {}, {}, unrendered), base::Error);
  config = config_for({ExerciseKind::kPure});
  config.target = {};
  CHECK_THROWS_AS(EarSession(config, {}, {}, unrendered), base::Error);
}
