#include "cuts/score/loop_score.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

#include "base/units.h"

namespace brink::cuts {
namespace {

/// An equaliser cannot bring the highest crossing down this far: no room gave more than 12 dB. So
/// what lies deeper is left out.
constexpr double kDepthDb = 16.0;
/// cos(120 degrees). A cut of 18 dB turns the phase by 51 degrees at most, and the turns of
/// neighbours add up.
constexpr double kNearTurn = -0.5;
/// A change is not computed exactly if its foreseen level is above the limit by more than this.
constexpr double kForesightDb = 0.15;

CellCrossing cross(float a_re, float a_im, float b_re, float b_im) noexcept {
  return cross_cell({static_cast<double>(a_re), static_cast<double>(a_im)},
                    {static_cast<double>(b_re), static_cast<double>(b_im)});
}

/// A bit for each k < 31 at which values[k] and values[k + 1] differ in sign.
std::uint32_t sign_changes(const std::array<float, 32>& values) noexcept {
  std::uint32_t signs = 0;
  for (std::size_t k = 0; k < values.size(); ++k) {
    // All ones for a value below zero, no ones above. Vector code has no shift by a different count
    // for each value.
    const auto is_negative =
        static_cast<std::uint32_t>(std::bit_cast<std::int32_t>(values[k]) >> 31);
    signs |= is_negative & (std::uint32_t{1} << k);
  }
  return (signs ^ (signs >> 1U)) & 0x7FFFFFFFU;
}

double db_to_power(double level_db) {
  return std::pow(10.0, level_db / 10.0);
}

}  // namespace

LoopScore::LoopScore(const LoopGain& loop, std::size_t slot_count, double sample_rate_hz)
    : step_hz_(loop.step_hz), shapes_(slot_count) {
  take_in(loop, sample_rate_hz);
  std::stable_sort(blocks_.begin(), blocks_.end(), [](const Block& a, const Block& b) {
    return a.loop_power > b.loop_power;
  });
  set_sharpness(kHardest);
}

/// Takes in every run of cells in which a crossing is possible. Runs are sorted into classes by
/// their highest magnitude. So a block holds runs of one class, and the high ones come first.
void LoopScore::take_in(const LoopGain& loop, double sample_rate_hz) {
  struct Run {
    std::size_t first;
    std::size_t last;
    int level_class;
  };

  const double top_power = db_to_power(highest_crossing(loop).level_db);
  const double least_power = top_power * db_to_power(-kDepthDb);
  floor_power_ = static_cast<float>(least_power);
  const auto is_possible = [&](std::size_t k) {
    const auto value = loop.gain[k];
    return value.real() > kNearTurn * std::abs(value) && std::norm(value) > least_power;
  };
  std::vector<Run> runs;
  for (std::size_t k = 0; k < loop.gain.size(); ++k) {
    if (!is_possible(k)) {
      continue;
    }
    const std::size_t first = k > 0 ? k - 1 : 0;
    double highest = 0.0;
    for (; k < loop.gain.size() && is_possible(k); ++k) {
      highest = std::max(highest, std::norm(loop.gain[k]));
    }
    constexpr double kClassDb = 3.0;
    runs.push_back({first,
                    std::min(k, loop.gain.size() - 1),
                    static_cast<int>(base::power_to_db(top_power / highest) / kClassDb)});
  }
  std::stable_sort(runs.begin(), runs.end(), [](const Run& a, const Run& b) {
    return a.level_class < b.level_class;
  });
  for (const Run& run : runs) {
    append(loop, run.first, run.last, sample_rate_hz);
  }
}

void LoopScore::append(const LoopGain& loop,
                       std::size_t first,
                       std::size_t last,
                       double sample_rate_hz) {
  for (std::size_t index = first; index <= last; ++index) {
    if (blocks_.empty() || blocks_.back().count == kPoints) {
      blocks_.emplace_back();
      // Points that are not used must give neither a crossing nor a division by zero.
      blocks_.back().t.fill(1.0F);
      blocks_.back().inverse_t.fill(1.0F);
      // When a run is cut in two, the cell between its parts stays.
      index -= index > first ? 1 : 0;
    }
    Block& block = blocks_.back();
    const auto value = loop.gain[index];
    const double t = warp(loop.frequency_hz(index), sample_rate_hz);
    const std::size_t k = block.count++;
    block.frequency_hz[k] = loop.frequency_hz(index);
    block.t[k] = static_cast<float>(t);
    block.inverse_t[k] = static_cast<float>(1.0 / t);
    block.loop_re[k] = static_cast<float>(value.real());
    block.loop_im[k] = static_cast<float>(value.imag());
    block.loop_power = std::max(block.loop_power, static_cast<float>(std::norm(value)));
    block.gaps |= std::uint32_t{index == last} << k;
  }
}

double LoopScore::to_power(double sum) const {
  for (int i = 0; i < doublings_; ++i) {
    sum = std::sqrt(sum);
  }
  return sum;
}

double LoopScore::to_sum(double power) const {
  for (int i = 0; i < doublings_; ++i) {
    power *= power;
  }
  return power;
}

void LoopScore::set_sharpness(int doublings) {
  doublings_ = doublings;
  // Below this share a crossing adds less than a fiftieth of what the highest one adds to the sum.
  relevant_ratio_ = doublings == kHardest ? 1.0 : to_power(0.02);
  ++version_;
  crossings_ = {};
  if (!blocks_.empty() && !shapes_.empty()) {
    (void)try_change(0, shapes_[0], std::numeric_limits<double>::infinity());
    make_change();
  }
}

void LoopScore::bring_up_to_date(Block& block) const {
  block.re = block.loop_re;
  block.im = block.loop_im;
  for (const Shape& shape : shapes_) {
    shape.multiply(block.axis(), block.re.data(), block.im.data());
  }
  block.version = version_;
}

/// The level of a block with the change tried.
LoopScore::Level LoopScore::level_of(const Block& block) const {
  const Values& re = block.tried_re;
  const Values& im = block.tried_im;
  Level level;
  level.cells = sign_changes(im) & ~block.gaps;
  for (std::uint32_t left = level.cells; left != 0; left &= left - 1) {
    const auto k = static_cast<std::size_t>(std::countr_zero(left));
    const double power = cross(re[k], im[k], re[k + 1], im[k + 1]).power;
    if (power > 0.0) {
      level.highest = std::max(level.highest, static_cast<float>(power));
      level.sum += to_sum(power);
    }
  }
  return level;
}

const LoopScore::Level& LoopScore::try_block(Block& block, std::size_t index, const Shape& now) {
  if (block.tried == try_number_) {
    return block.tried_level;
  }
  if (block.version != version_) {
    bring_up_to_date(block);
  }
  ++worked;
  Shape::change(shapes_[index],
                now,
                block.axis(),
                block.re.data(),
                block.im.data(),
                block.tried_re.data(),
                block.tried_im.data());
  block.tried_level = level_of(block);
  block.tried = try_number_;
  return block.tried_level;
}

double LoopScore::try_change(std::size_t index, const Shape& now, double limit_power) {
  constexpr double kTooHigh = std::numeric_limits<double>::infinity();
  const double limit_sum = to_sum(limit_power);
  tried_index_ = index;
  tried_shape_ = now;
  ++try_number_;
  if (foresee_sum(index, now) > to_sum(limit_power * db_to_power(kForesightDb))) {
    return kTooHigh;
  }
  const auto is_too_high = [&](const Level& level) {
    return (doublings_ == kHardest ? static_cast<double>(level.highest) : level.sum) > limit_sum;
  };
  const auto breaks = [&](std::size_t breaker) {
    return breaker < blocks_.size() && is_too_high(try_block(blocks_[breaker], index, now));
  };
  if (std::any_of(breakers_.begin(), breakers_.end(), breaks)) {
    return kTooHigh;
  }
  tried_ = {};
  tried_.highest = floor_power_;
  tried_.sum = to_sum(static_cast<double>(floor_power_));
  for (; tried_.block_count < blocks_.size(); ++tried_.block_count) {
    Block& block = blocks_[tried_.block_count];
    if (static_cast<double>(block.loop_power) <=
        static_cast<double>(tried_.highest) * relevant_ratio_) {
      break;
    }
    const Level& level = try_block(block, index, now);
    if (level.highest > tried_.highest) {
      tried_.highest = level.highest;
      tried_.highest_block = tried_.block_count;
    }
    tried_.sum =
        doublings_ == kHardest ? static_cast<double>(tried_.highest) : tried_.sum + level.sum;
    if (tried_.sum > limit_sum) {
      breakers_[next_breaker_] = tried_.block_count;
      next_breaker_ = (next_breaker_ + 1) % breakers_.size();
      return kTooHigh;
    }
  }
  return to_power(tried_.sum);
}

void LoopScore::make_change() {
  shapes_[tried_index_] = tried_shape_;
  state_ = tried_;
  ++version_;
  for (std::size_t index = 0; index < state_.block_count; ++index) {
    Block& block = blocks_[index];
    block.re = block.tried_re;
    block.im = block.tried_im;
    block.cells = block.tried_level.cells;
    block.version = version_;
  }
  list_crossings();
}

void LoopScore::list_crossings() {
  crossings_.t.clear();
  crossings_.inverse_t.clear();
  crossings_.power.clear();
  crossings_.level_slope.clear();
  for (std::size_t index = 0; index < state_.block_count; ++index) {
    const Block& block = blocks_[index];
    for (std::uint32_t left = block.cells; left != 0; left &= left - 1) {
      list_crossing(block, static_cast<std::size_t>(std::countr_zero(left)));
    }
  }
  crossings_.ratio_re.resize(crossings_.t.size());
  crossings_.ratio_im.resize(crossings_.t.size());
}

void LoopScore::list_crossing(const Block& block, std::size_t k) {
  const auto [power, position] = cross(block.re[k], block.im[k], block.re[k + 1], block.im[k + 1]);
  // Takes in one dB more than what counts, because a crossing may rise.
  const double least_power = 0.8 * relevant_ratio_ * static_cast<double>(state_.highest);
  if (power <= 0.0 || power < least_power) {
    return;
  }
  const float t = block.t[k] + static_cast<float>(position) * (block.t[k + 1] - block.t[k]);
  crossings_.t.push_back(t);
  crossings_.inverse_t.push_back(1.0F / t);
  crossings_.power.push_back(static_cast<float>(power));
  // For a small step from a to b: ln|b/a| is near to (|b|^2 - |a|^2) / (|b|^2 + |a|^2). The angle
  // is near to twice the cross product over the same sum. If the phase hardly turns, the slope
  // means nothing, so it is bounded.
  const float power_step = block.re[k + 1] * block.re[k + 1] + block.im[k + 1] * block.im[k + 1] -
                           block.re[k] * block.re[k] - block.im[k] * block.im[k];
  const float turn = 2.0F * (block.re[k] * block.im[k + 1] - block.im[k] * block.re[k + 1]);
  crossings_.level_slope.push_back(turn == 0.0F ? 0.0F
                                                : std::clamp(power_step / turn, -2.0F, 2.0F));
}

/// To first order a crossing's level changes in two ways: by the change's own level there, and
/// because the crossing moves along the loop's slope to make up for the change's phase.
double LoopScore::foresee_sum(std::size_t index, const Shape& now) {
  constexpr int kCrossingsPerWork = 32;  // as many as points in a block
  const std::size_t count = crossings_.t.size();
  worked += static_cast<std::int64_t>(count / kCrossingsPerWork);
  std::fill(crossings_.ratio_re.begin(), crossings_.ratio_re.end(), 1.0F);
  std::fill(crossings_.ratio_im.begin(), crossings_.ratio_im.end(), 0.0F);
  Shape::change(shapes_[index],
                now,
                {crossings_.t.data(), crossings_.inverse_t.data(), count},
                crossings_.ratio_re.data(),
                crossings_.ratio_im.data(),
                crossings_.ratio_re.data(),
                crossings_.ratio_im.data());
  double sum = 0.0;
  double highest = 0.0;
  for (std::size_t k = 0; k < count; ++k) {
    const float re = crossings_.ratio_re[k];
    const float im = crossings_.ratio_im[k];
    // exp(-2 slope angle), computed as (1 - slope angle / 2)^4 with the tangent in place of the
    // angle.
    const float root =
        std::clamp(1.0F - 0.5F * crossings_.level_slope[k] * im / std::max(re, 0.3F), 0.6F, 1.5F);
    const float moved = root * root * root * root;
    const auto power = static_cast<double>(crossings_.power[k] * (re * re + im * im) * moved);
    highest = std::max(highest, power);
    sum += to_sum(power);
  }
  return doublings_ == kHardest ? highest : sum;
}

Crossing LoopScore::highest() const {
  Crossing highest{0.0, base::kSilenceDb};
  if (blocks_.empty()) {
    return highest;
  }
  const Block& block = blocks_[state_.highest_block];
  double highest_power = 0.0;
  for (std::uint32_t left = block.cells; left != 0; left &= left - 1) {
    const auto k = static_cast<std::size_t>(std::countr_zero(left));
    const auto [power, position] =
        cross(block.re[k], block.im[k], block.re[k + 1], block.im[k + 1]);
    if (power > highest_power) {
      highest_power = power;
      highest = {block.frequency_hz[k] + step_hz_ * position, base::power_to_db(power)};
    }
  }
  return highest;
}

}  // namespace brink::cuts
