#include "cuts/search.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include "base/units.h"
#include "cuts/score/audible_score.h"

namespace brink::cuts {
namespace {

/// Sharpness of the level until this share of the work is done.
struct Stage {
  double until;
  int doublings;
};

constexpr std::array<Stage, 4> kStages{{{0.3, 2}, {0.6, 3}, {0.85, 4}, {1.0, Score::kHardest}}};

/// Work of one step apart from the score's: mostly the loss.
constexpr std::int64_t kWorkPerStep = 20;

/// Random numbers that are the same on every platform.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}

  /// 0 <= x < 1
  double share() { return static_cast<double>(engine_() >> 11U) * 0x1p-53; }

  /// 0 .. count - 1
  int below(int count) { return static_cast<int>(share() * count); }

  /// From -most to most, but not 0. Small steps are more likely: uniform in the logarithm.
  int step(int most) {
    const int size = static_cast<int>(std::pow(static_cast<double>(most + 1), share()));
    return share() < 0.5 ? size : -size;
  }

 private:
  std::mt19937_64 engine_;
};

int size_of(const std::vector<double>& list) {
  return static_cast<int>(list.size());
}

int moved(int place, int by, const std::vector<double>& list) {
  return std::clamp(place + by, 0, size_of(list) - 1);
}

int third_octave_steps(const Slot& slot) {
  const double octaves = std::log2(slot.centres_hz.back() / slot.centres_hz.front());
  return octaves > 0.0 ? std::max(static_cast<int>(size_of(slot.centres_hz) / octaves / 3.0), 1)
                       : 1;
}

class Annealer {
 public:
  Annealer(std::span<const Slot> slots,
           Score& score,
           LossScore& loss,
           double sample_rate_hz,
           const SearchConfig& config)
      : slots_(slots),
        score_(score),
        loss_(loss),
        sample_rate_hz_(sample_rate_hz),
        config_(config),
        audible_score_(slots),
        dice_(config.seed),
        choices_(slots.size()),
        start_level_db_(score.highest().level_db) {}

  std::vector<Choice> run() {
    std::vector<Choice> best = choices_;
    if (slots_.empty()) {
      return best;
    }
    double best_db = 0.0;
    std::size_t stage = kStages.size();
    std::int64_t spent = 0;
    for (std::int64_t step = 0; spent < config_.work; ++step) {
      const double progress = static_cast<double>(spent) / static_cast<double>(config_.work);
      if (stage == kStages.size() || progress > kStages[stage].until) {
        stage = stage == kStages.size() ? 0 : stage + 1;
        score_.set_sharpness(kStages[stage].doublings);
        value_db_ = value_of(base::power_to_db(score_.soft_power()));
      }
      temperature_db_ = config_.hot_db * std::pow(config_.cold_db / config_.hot_db, progress);
      const auto index = static_cast<std::size_t>(dice_.below(static_cast<int>(slots_.size())));
      if (try_choice(index, vary(index))) {
        const double net_db = value_of(score_.highest().level_db);
        if (net_db > best_db) {
          best_db = net_db;
          best = choices_;
        }
      }
      spent = score_.work() + step * kWorkPerStep;
    }
    return best;
  }

 private:
  [[nodiscard]] double value_of(double level_db) const {
    return config_.gain_weight * (start_level_db_ - level_db) - price_db_;
  }

  /// A change of the slot's present choice: usually some steps along its lists, sometimes off or a
  /// jump.
  Choice vary(std::size_t index) {
    const Slot& slot = slots_[index];
    Choice choice = choices_[index];
    if (choice.depth == 0 || dice_.share() < 0.05) {
      return jump(slot);
    }
    const double kind = dice_.share();
    if (kind < 0.05) {
      return {choice.centre, choice.q, 0};
    }
    if (kind < 0.55) {
      choice.centre = moved(choice.centre, dice_.step(third_octave_steps(slot)), slot.centres_hz);
    }
    if (kind > 0.45 && kind < 0.8) {
      choice.q = moved(choice.q, dice_.step(std::max(size_of(slot.qs) / 4, 1)), slot.qs);
    }
    if (kind > 0.7 || slot.centres_hz.size() == 1) {
      choice.depth =
          moved(choice.depth, dice_.step(std::max(size_of(slot.depths_db) / 4, 1)), slot.depths_db);
    }
    return choice;
  }

  /// Any choice, but centred near the highest crossing.
  Choice jump(const Slot& slot) {
    const int centre = nearest_index(slot.centres_hz, score_.highest().frequency_hz);
    return {moved(centre, dice_.below(3) - 1, slot.centres_hz),
            dice_.below(size_of(slot.qs)),
            1 + dice_.below(size_of(slot.depths_db) - 1)};
  }

  bool try_choice(std::size_t index, const Choice& now) {
    const Choice& was = choices_[index];
    const int in_use = in_use_ + (now.depth != 0 ? 1 : 0) - (was.depth != 0 ? 1 : 0);
    if (now == was || in_use > config_.most_in_use) {
      return false;
    }
    const HeardCuts heard = audible_score_.try_change(index, now);
    if (config_.is_audible_barred && heard.count > 0) {
      return false;
    }
    const Shape shape(slots_[index], now, sample_rate_hz_);
    const double price_db = loss_.try_change_db(index, shape) + in_use * config_.use_price_db +
                            heard.audibility * config_.audible_price_db;
    // The value that would just be taken, and the level that gives it.
    const double least_db = value_db_ + temperature_db_ * std::log(1.0 - dice_.share());
    const double limit_db = start_level_db_ - (price_db + least_db) / config_.gain_weight;
    const double limit_power = std::pow(10.0, limit_db / 10.0);
    if (score_.try_change(index, shape, limit_power) > limit_power) {
      return false;
    }
    loss_.make_change();
    score_.make_change();
    in_use_ = in_use;
    audible_score_.make_change();
    choices_[index] = now;
    price_db_ = price_db;
    value_db_ = value_of(base::power_to_db(score_.soft_power()));
    return true;
  }

  std::span<const Slot> slots_;
  Score& score_;
  LossScore& loss_;
  double sample_rate_hz_;
  SearchConfig config_;
  AudibleScore audible_score_;
  Dice dice_;
  std::vector<Choice> choices_;
  int in_use_ = 0;
  double start_level_db_;
  double price_db_ = 0.0;  // loss plus the price of the slots in use
  double value_db_ = 0.0;  // price plus the soft level
  double temperature_db_ = 0.0;
};

}  // namespace

std::vector<Choice> search(std::span<const Slot> slots,
                           Score& score,
                           LossScore& loss,
                           double sample_rate_hz,
                           const SearchConfig& config) {
  return Annealer(slots, score, loss, sample_rate_hz, config).run();
}

}  // namespace brink::cuts
