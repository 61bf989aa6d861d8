#include "loop/stage.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "base/error.h"
#include "base/units.h"
#include "loop/limiter.h"
#include "loop/require.h"

namespace brink::loop {

namespace {

bool is_finite(const std::vector<double>& response) {
  return std::all_of(
      response.begin(), response.end(), [](double tap) { return std::isfinite(tap); });
}

const StageConfig& validated(const StageConfig& config) {
  require(config.sample_rate_hz, 8000.0, 192000.0, "sample rate", "Hz");
  require(config.console_delay_s, 0.0, 0.5, "console delay", "s");
  require(config.limit_dbfs, -60.0, 0.0, "limit", "dBFS");
  if (config.response.empty()) {
    throw base::Error{"the stage needs a response from loudspeaker to microphone; got none."};
  }
  if (config.tap == Tap::kListener && config.listener_response.empty()) {
    throw base::Error{"a tap at the listener's place needs a response from loudspeaker to there."};
  }
  if (!(is_finite(config.response) && is_finite(config.moved_response) &&
        is_finite(config.listener_response))) {
    throw base::Error{"a response holds a number that is not finite."};
  }
  for (const EqualiserChange& change : config.plan.equaliser) {
    if (change.sections.size() > Equaliser::kMostSections) {
      throw base::Error{fmt::format("an equaliser in the loop has at most {} sections; got {}.",
                                    Equaliser::kMostSections,
                                    change.sections.size())};
    }
  }
  return config;
}

std::size_t leading_zeros(const std::vector<double>& response) {
  const auto first =
      std::find_if(response.begin(), response.end(), [](double tap) { return tap != 0.0; });
  return static_cast<std::size_t>(first - response.begin());
}

std::size_t console_delay_samples(const StageConfig& config) {
  return static_cast<std::size_t>(std::llround(config.console_delay_s * config.sample_rate_hz));
}

// The console's delay is added to the delay through the air. For the loop it makes no difference
// where the delay is.
std::vector<std::vector<double>> delayed_responses(const StageConfig& config) {
  const std::size_t delay = console_delay_samples(config);
  std::vector<std::vector<double>> delayed;
  for (const std::vector<double>* response :
       {&config.response, &config.moved_response, &config.listener_response}) {
    std::vector<double>& taps = delayed.emplace_back();
    if (!response->empty()) {
      taps.assign(delay, 0.0);
      taps.insert(taps.end(), response->begin(), response->end());
    }
  }
  if (config.tap != Tap::kListener) {
    delayed.pop_back();
  }
  return delayed;
}

int loop_delay_samples(const StageConfig& config) {
  std::size_t least = leading_zeros(config.response);
  if (!config.moved_response.empty()) {
    least = std::min(least, leading_zeros(config.moved_response));
  }
  if (config.tap == Tap::kListener) {
    least = std::min(least, leading_zeros(config.listener_response));
  }
  return static_cast<int>(least + console_delay_samples(config));
}

constexpr std::size_t kHere = 0;
constexpr std::size_t kMoved = 1;
constexpr std::size_t kListening = 2;

}  // namespace

Stage::Stage(StageConfig config)
    : config_{std::move(config)},
      limit_lin_{base::db_to_amplitude(validated(config_).limit_dbfs)},
      fade_samples_{std::max(1, static_cast<int>(kFadeS * config_.sample_rate_hz))},
      is_moving_{!config_.moved_response.empty()},
      is_gain_planned_{config_.plan.gain_db.points().size() > 1 ||
                       config_.plan.gain_db.points().front().value != 0.0},
      convolver_{loop_delay_samples(config_), delayed_responses(config_)},
      equaliser_{fade_samples_},
      block_(static_cast<std::size_t>(convolver_.block_samples())) {}

void Stage::set_fader_db(double gain_db) noexcept {
  if (!std::isfinite(gain_db)) {
    return;
  }
  fader_target_lin_ = base::db_to_amplitude(gain_db);
  fader_left_samples_ = fade_samples_;
  fader_step_lin_ = (fader_target_lin_ - fader_lin_) / fade_samples_;
}

bool Stage::set_equaliser(std::span<const base::Biquad> sections) noexcept {
  return equaliser_.change(sections);
}

void Stage::follow_plan(double time_s) noexcept {
  const auto& changes = config_.plan.equaliser;
  while (next_change_ < changes.size() && changes[next_change_].time_s <= time_s) {
    equaliser_.change(changes[next_change_].sections);
    ++next_change_;
  }
}

Stage::Controls Stage::next_controls() noexcept {
  const double time_s = static_cast<double>(sample_index_) / config_.sample_rate_hz;
  follow_plan(time_s);
  if (fader_left_samples_ > 0) {
    --fader_left_samples_;
    fader_lin_ = fader_left_samples_ == 0 ? fader_target_lin_ : fader_lin_ + fader_step_lin_;
  }
  Controls controls{fader_lin_, 0.0};
  if (is_gain_planned_) {
    controls.gain_lin *= base::db_to_amplitude(config_.plan.gain_db.value_at(time_s));
  }
  if (is_moving_) {
    controls.position = std::clamp(config_.plan.position.value_at(time_s), 0.0, 1.0);
  }
  return controls;
}

double Stage::bring() noexcept {
  now_ = next_controls();
  double brought = convolver_.next(kHere)[block_at_];
  if (is_moving_) {
    brought += now_.position * (convolver_.next(kMoved)[block_at_] - brought);
  }
  return brought;
}

double Stage::hear(double microphone) noexcept {
  const double output = soft_limit(equaliser_.step(now_.gain_lin * microphone), limit_lin_);
  const double heard =
      config_.tap == Tap::kListener ? convolver_.next(kListening)[block_at_] : microphone;
  block_[block_at_] = output;
  ++block_at_;
  ++sample_index_;
  if (block_at_ == block_.size()) {
    convolver_.push(block_);
    block_at_ = 0;
  }
  return config_.tap == Tap::kOutput ? output : heard;
}

void Stage::process(std::span<const float> programme, std::span<float> tap) noexcept {
  process_together(std::span(this, 1), programme, tap);
}

void process_together(std::span<Stage> stages,
                      std::span<const float> programme,
                      std::span<float> tap) noexcept {
  assert(programme.size() == tap.size());
  for (std::size_t n = 0; n < programme.size(); ++n) {
    const auto dry = static_cast<double>(programme[n]);
    double brought = 0.0;
    for (Stage& stage : stages) {
      brought += stage.bring();
    }
    const double microphone = (std::isfinite(dry) ? dry : 0.0) + brought;
    double first = 0.0;
    for (std::size_t i = 0; i < stages.size(); ++i) {
      const double heard = stages[i].hear(microphone);
      first = i == 0 ? heard : first;
    }
    tap[n] = static_cast<float>(first);
  }
}

}  // namespace brink::loop
