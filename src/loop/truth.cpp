#include "loop/truth.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "base/units.h"

namespace brink::loop {

namespace {

constexpr int kPositionSteps = 64;
// Followed from this far below the brink; reported from kNearBrinkDb below.
constexpr double kFollowDb = 6.0;

// What decides the loop apart from its gain.
struct Situation {
  int position = 0;           // 0 to kPositionSteps
  std::size_t equaliser = 0;  // 0: flat, then 1 + index of the change

  bool operator<(const Situation& other) const noexcept {
    return position != other.position ? position < other.position : equaliser < other.equaliser;
  }

  bool operator!=(const Situation& other) const noexcept {
    return position != other.position || equaliser != other.equaliser;
  }
};

class Follower {
 public:
  Follower(const StageConfig& config, double length_s)
      : config_{config},
        count_{static_cast<std::size_t>(std::max(0.0, length_s) / kTruthStepS) + 1} {
    for (std::size_t step = 0; step < count_; ++step) {
      most_gain_db_ = std::max(most_gain_db_, gain_db(step));
    }
  }

  LoopTruth run() {
    LoopTruth truth;
    std::optional<Situation> last;
    std::size_t last_equaliser = 0;
    for (std::size_t step = 0; step < count_; ++step) {
      const Situation now = situation(step);
      if (!last || *last != now) {
        link(crossings(now));
      }
      if (!last || now.equaliser != last_equaliser ||
          (step + 1 == count_ && now.position != situation(0).position)) {
        add_stable_gain(truth, step, now);
        last_equaliser = now.equaliser;
      }
      last = now;
      extend(step);
    }
    for (NearBrink& path : paths_) {
      finish(path, truth.near_brink);
    }
    std::sort(truth.near_brink.begin(),
              truth.near_brink.end(),
              [](const NearBrink& a, const NearBrink& b) {
                return a.highest.frequency_hz < b.highest.frequency_hz;
              });
    return truth;
  }

 private:
  struct Live {
    Crossing crossing;  // at a gain of 0 dB
    std::size_t path;
  };

  static double time_s(std::size_t step) noexcept {
    return static_cast<double>(step) * kTruthStepS;
  }

  void add_stable_gain(LoopTruth& truth, std::size_t step, const Situation& now) const {
    const double gain_db = max_stable_gain_db(loop(now));
    if (gain_db < kUnlimitedGainDb) {
      truth.stable_gain.push_back({time_s(step), gain_db});
    }
  }

  double gain_db(std::size_t step) const noexcept {
    return config_.plan.gain_db.value_at(time_s(step));
  }

  Situation situation(std::size_t step) const noexcept {
    Situation now;
    if (!config_.moved_response.empty()) {
      const double share = std::clamp(config_.plan.position.value_at(time_s(step)), 0.0, 1.0);
      now.position = static_cast<int>(std::lround(share * kPositionSteps));
    }
    for (const EqualiserChange& change : config_.plan.equaliser) {
      now.equaliser += change.time_s + 0.5 * Stage::kFadeS <= time_s(step) ? 1U : 0U;
    }
    return now;
  }

  OpenLoop loop(const Situation& now) const {
    std::vector<base::Biquad> sections;
    if (now.equaliser > 0) {
      sections = config_.plan.equaliser[now.equaliser - 1].sections;
    }
    return {loop_taps(config_, static_cast<double>(now.position) / kPositionSteps),
            std::move(sections),
            config_.sample_rate_hz};
  }

  const std::vector<Crossing>& crossings(const Situation& now) {
    const auto known = known_.find(now);
    if (known != known_.end()) {
      return known->second;
    }
    return known_[now] = loop(now).crossings(grid(now), -kFollowDb - most_gain_db_);
  }

  // The transform of a mixture is the mixture of the transforms. So one transform for each of the
  // microphone's two places is enough for every situation.
  LoopResponse grid(const Situation& now) {
    if (here_.gain.empty()) {
      here_ = OpenLoop{loop_taps(config_, 0.0), {}, config_.sample_rate_hz}.response();
      moved_ = OpenLoop{loop_taps(config_, 1.0), {}, config_.sample_rate_hz}.response();
    }
    LoopResponse mixed = here_;
    const double share = static_cast<double>(now.position) / kPositionSteps;
    for (std::size_t k = 0; k < mixed.gain.size(); ++k) {
      mixed.gain[k] += share * (moved_.gain[k] - mixed.gain[k]);
      if (now.equaliser > 0) {
        for (const base::Biquad& section : config_.plan.equaliser[now.equaliser - 1].sections) {
          mixed.gain[k] *= base::response(section, mixed.frequency_hz[k], config_.sample_rate_hz);
        }
      }
    }
    return mixed;
  }

  // Each crossing continues the path that ended nearest to it in frequency and gain. The nearest
  // pairs come first, so that a new crossing beside a path does not take it.
  void link(const std::vector<Crossing>& crossings) {
    struct Pair {
      double apart;
      std::size_t live;
      std::size_t crossing;
    };

    std::vector<Pair> pairs;
    for (std::size_t crossing = 0; crossing < crossings.size(); ++crossing) {
      for (std::size_t live = 0; live < live_.size(); ++live) {
        const double apart = distance(live_[live].crossing, crossings[crossing]);
        if (apart < 1.0) {
          pairs.push_back({apart, live, crossing});
        }
      }
    }
    std::sort(pairs.begin(), pairs.end(), [](const Pair& a, const Pair& b) {
      return std::tie(a.apart, a.live, a.crossing) < std::tie(b.apart, b.live, b.crossing);
    });
    constexpr auto kNone = static_cast<std::size_t>(-1);
    std::vector<std::size_t> path_of(crossings.size(), kNone);
    std::vector<bool> is_taken(live_.size());
    for (const Pair& pair : pairs) {
      if (!is_taken[pair.live] && path_of[pair.crossing] == kNone) {
        is_taken[pair.live] = true;
        path_of[pair.crossing] = live_[pair.live].path;
      }
    }
    live_.clear();
    for (std::size_t crossing = 0; crossing < crossings.size(); ++crossing) {
      if (path_of[crossing] == kNone) {
        path_of[crossing] = paths_.size();
        paths_.emplace_back();
      }
      live_.push_back({crossings[crossing], path_of[crossing]});
    }
  }

  // Below 1, both are taken as the same crossing a moment apart.
  static double distance(const Crossing& a, const Crossing& b) noexcept {
    const double reach_hz = std::max(3.0, 0.005 * a.frequency_hz);
    constexpr double kReachDb = 8.0;
    return std::hypot((a.frequency_hz - b.frequency_hz) / reach_hz,
                      (a.gain_db - b.gain_db) / kReachDb);
  }

  void extend(std::size_t step) {
    const double now_db = gain_db(step);
    for (const Live& live : live_) {
      const double gain_db = live.crossing.gain_db + now_db;
      if (gain_db >= -kFollowDb) {
        paths_[live.path].path.push_back({time_s(step), live.crossing.frequency_hz, gain_db});
      }
    }
  }

  void finish(NearBrink& near, std::vector<NearBrink>& found) const {
    if (near.path.empty()) {
      return;
    }
    near.highest = near.path.front();
    for (const NearBrink::Moment& moment : near.path) {
      if (moment.gain_db > near.highest.gain_db + 1e-9) {
        near.highest = moment;
      }
    }
    if (near.highest.gain_db < -kNearBrinkDb) {
      return;
    }
    find_times(near);
    find_range(near);
    const auto step = static_cast<std::size_t>(std::lround(near.highest.time_s / kTruthStepS));
    near.pole = loop(situation(step)).pole(near.highest.frequency_hz, gain_db(step));
    found.push_back(std::move(near));
  }

  void find_times(NearBrink& near) const {
    const NearBrink::Moment* before = nullptr;
    for (const NearBrink::Moment& moment : near.path) {
      if (moment.gain_db > 0.0) {
        near.stable_again_s = kNeverS;
        if (near.unstable_s == kNeverS) {
          near.unstable_s = passing_s(before, moment);
        }
      } else if (before != nullptr && before->gain_db > 0.0) {
        near.stable_again_s = passing_s(before, moment);
      }
      before = &moment;
    }
    const NearBrink::Moment& last = near.path.back();
    if (last.gain_db > 0.0 && last.time_s + 1.5 * kTruthStepS < time_s(count_ - 1)) {
      near.stable_again_s = last.time_s;  // it ended with the situation
    }
  }

  static double passing_s(const NearBrink::Moment* before, const NearBrink::Moment& now) noexcept {
    if (before == nullptr || now.time_s - before->time_s > 1.5 * kTruthStepS) {
      return now.time_s;
    }
    const double share = before->gain_db / (before->gain_db - now.gain_db);
    return before->time_s + share * (now.time_s - before->time_s);
  }

  static void find_range(NearBrink& near) {
    const double least_db = near.unstable_s == kNeverS ? -kNearBrinkDb : 0.0;
    near.low_hz = near.high_hz = near.highest.frequency_hz;
    for (const NearBrink::Moment& moment : near.path) {
      if (moment.gain_db >= least_db) {
        near.low_hz = std::min(near.low_hz, moment.frequency_hz);
        near.high_hz = std::max(near.high_hz, moment.frequency_hz);
      }
    }
  }

  const StageConfig& config_;
  std::size_t count_;
  double most_gain_db_ = base::kSilenceDb;
  LoopResponse here_;   // flat equaliser, the microphone's first place
  LoopResponse moved_;  // flat equaliser, its second place
  std::map<Situation, std::vector<Crossing>> known_;
  std::vector<Live> live_;
  std::vector<NearBrink> paths_;
};

}  // namespace

std::vector<double> loop_taps(const StageConfig& config, double position) {
  const auto delay =
      static_cast<std::size_t>(std::llround(config.console_delay_s * config.sample_rate_hz));
  std::vector<double> taps(delay + std::max(config.response.size(), config.moved_response.size()));
  const double here = config.moved_response.empty() ? 1.0 : 1.0 - position;
  for (std::size_t n = 0; n < config.response.size(); ++n) {
    taps[delay + n] += here * config.response[n];
  }
  for (std::size_t n = 0; n < config.moved_response.size(); ++n) {
    taps[delay + n] += position * config.moved_response[n];
  }
  return taps;
}

LoopTruth loop_truth(const StageConfig& config, double length_s) {
  return Follower{config, length_s}.run();
}

}  // namespace brink::loop
