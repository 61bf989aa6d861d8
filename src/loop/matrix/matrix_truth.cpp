#include "loop/matrix/matrix_truth.h"

#include <algorithm>

namespace brink::loop {
namespace {

// Followed from this far below the brink, as for one loop.
constexpr double kFollowDb = 6.0;

// When a line between two moments passes 0 dB.
double passing_s(const NearBrink::Moment& before, const NearBrink::Moment& now) noexcept {
  const double share = before.gain_db / (before.gain_db - now.gain_db);
  return before.time_s + share * (now.time_s - before.time_s);
}

NearBrink follow(const Crossing& crossing, const Lines& gain_db, double length_s) {
  NearBrink near;
  near.low_hz = near.high_hz = crossing.frequency_hz;
  NearBrink::Moment before;
  const auto count = static_cast<int>(length_s / kTruthStepS) + 1;
  for (int step = 0; step < count; ++step) {
    const double time_s = step * kTruthStepS;
    const NearBrink::Moment now{
        time_s, crossing.frequency_hz, crossing.gain_db + gain_db.value_at(time_s)};
    if (step == 0 || now.gain_db > near.highest.gain_db + 1e-9) {
      near.highest = now;
    }
    const bool was_unstable = step > 0 && before.gain_db > 0.0;
    if (now.gain_db > 0.0 && !was_unstable) {
      near.stable_again_s = kNeverS;
      if (near.unstable_s == kNeverS) {
        near.unstable_s = step == 0 ? 0.0 : passing_s(before, now);
      }
    } else if (now.gain_db <= 0.0 && was_unstable) {
      near.stable_again_s = passing_s(before, now);
    }
    if (now.gain_db >= -kFollowDb) {
      near.path.push_back(now);
    }
    before = now;
  }
  return near;
}

}  // namespace

LoopTruth MatrixTruth::loop() const {
  LoopTruth loop;
  for (const MatrixNearBrink& one : near_brink) {
    loop.near_brink.push_back(one.near);
  }
  if (stable_gain_db) {
    loop.stable_gain.push_back({0.0, *stable_gain_db});
  }
  return loop;
}

MatrixTruth matrix_truth(const MatrixConfig& config, double length_s) {
  const MatrixLoop loop{config};
  MatrixTruth truth;
  const double stable_db = loop.max_stable_gain_db();
  if (stable_db >= kUnlimitedGainDb) {
    return truth;
  }
  truth.stable_gain_db = stable_db;
  double most_db = config.gain_db.value_at(0.0);
  for (const Lines::Point& point : config.gain_db.points()) {
    if (point.time_s <= length_s) {
      most_db = std::max(most_db, point.value);
    }
  }
  most_db = std::max(most_db, config.gain_db.value_at(length_s));
  for (const Crossing& crossing : loop.crossings(-kNearBrinkDb - most_db)) {
    MatrixNearBrink one{follow(crossing, config.gain_db, length_s), {}};
    const double extra_db = one.near.highest.gain_db - crossing.gain_db;
    one.near.pole = loop.pole(crossing, extra_db);
    if (one.near.pole) {
      one.shares = loop.shares(*one.near.pole, extra_db);
    }
    if (one.near.highest.gain_db >= -kNearBrinkDb) {
      truth.near_brink.push_back(std::move(one));
    }
  }
  return truth;
}

}  // namespace brink::loop
