#include "desk/desk.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <numeric>
#include <utility>

#include "base/error.h"
#include "desk/microphones.h"
#include "desk/target_library.h"
#include "show/kept_target.h"

namespace brink::desk {
namespace {

/// Taps of a session that get a forecast: with many taps their work would add up.
constexpr std::size_t kMostForecasts = 2;

/// A room in which ringing out shows what it can do: rings that come one after the other, and 7 dB
/// won in seven rounds; others win less (docs/log.md).
constexpr std::uint64_t kFirstStage = 3;

}  // namespace

Desk::Desk(std::function<void()> on_news)
    : on_news_(std::move(on_news)), target_(load_target("parametric")), gain_(on_news_) {
  use_stage(kFirstStage);
}

void Desk::use_stage(std::uint64_t seed) {
  outputs_.clear();
  add_outputs(1);
  is_stage_ = true;
  ++stage_count_;
  seed_ = seed;
  at_ = 0;
  has_cuts_in_ = true;
  wanted_ = {0};
  Opened opened{
      nullptr, stage_count_, {0}, {std::make_shared<const loop::Scene>(practice_scene(seed))}};
  opened.source = std::make_unique<StageSource>(
      std::vector<OpenOutput>{{opened.scenes.front(), at().controls}});
  take_outputs(std::move(opened));
}

void Desk::add_outputs(std::size_t count) {
  while (outputs_.size() < count) {
    Output& output = outputs_.emplace_back();
    output.controls = std::make_shared<StageControls>();
    output.controls->set_fader_db(kStartFaderDb);
  }
}

void Desk::choose_output(std::size_t output, std::size_t open_count) {
  if (!is_stage_) {
    return;
  }
  add_outputs(std::max(output + 1, open_count));
  if (output != at_) {
    switch_cuts(true);
    at_ = output;
    tell_gain();
  }
  wanted_ = {output};
  if (open_count > 0) {
    wanted_.resize(open_count);
    std::iota(wanted_.begin(), wanted_.end(), std::size_t{0});
  }
  start_outputs();
}

/// Making an output's loop takes some tenths of a second.
void Desk::start_outputs() {
  if (!is_stage_ || wanted_ == open_ || opening_.is_busy()) {
    return;
  }
  std::vector<OpenOutput> parts;
  for (const std::size_t output : wanted_) {
    parts.push_back({outputs_[output].scene, outputs_[output].controls});
  }
  opening_.start(
      [stage = stage_count_, seed = seed_, outputs = wanted_, parts = std::move(parts)]() mutable {
        Opened opened{nullptr, stage, outputs, {}};
        for (std::size_t i = 0; i < parts.size(); ++i) {
          if (!parts[i].scene) {
            parts[i].scene = std::make_shared<const loop::Scene>(practice_scene(seed, outputs[i]));
          }
          opened.scenes.push_back(parts[i].scene);
        }
        opened.source = std::make_unique<StageSource>(parts);
        return opened;
      },
      on_news_);
}

void Desk::use_input(const io::CaptureConfig& config) {
  opening_.start(
      [config] {
        return Opened{std::make_unique<io::Capture>(config), 0, {}, {}};
      },
      on_news_);
}

void Desk::listen_to(std::unique_ptr<io::Source> source) {
  session_.reset();
  fresh_.clear();
  listen::SessionConfig config;
  config.on_news = on_news_;
  std::optional<std::string> trouble;
  if (source->is_live()) {
    config.outputs = output_channels_;
    try {
      config.calibrations = calibrations_of(load_microphones(microphones_path()), source->name());
    } catch (const base::Error& error) {
      trouble = error.what();
    }
  }
  config.forecasts = kMostForecasts;
  session_ = std::make_unique<listen::Session>(std::move(source), config);
  snapshot_ = &session_->newest();
  ++source_count_;
  trouble_ = std::move(trouble);
}

void Desk::take_outputs(Opened opened) {
  if (!is_stage_ || opened.stage != stage_count_) {
    return;  // of a stage that was left meanwhile
  }
  listen_to(std::move(opened.source));
  open_ = std::move(opened.outputs);
  for (std::size_t i = 0; i < open_.size(); ++i) {
    outputs_[open_[i]].scene = std::move(opened.scenes[i]);
    apply_equaliser(outputs_[open_[i]]);
  }
  tell_gain();
}

void Desk::finish_opening() {
  try {
    std::optional<Opened> opened = opening_.take();
    if (!opened) {
      return;
    }
    if (!opened->outputs.empty()) {
      take_outputs(std::move(*opened));
      return;
    }
    listen_to(std::move(opened->source));
    is_stage_ = false;
    outputs_.assign(1, {});
    at_ = 0;
    open_.clear();
    tell_gain();
  } catch (const base::Error& error) {
    trouble_ = error.what();
    wanted_ = open_;  // not again
  }
}

void Desk::update() {
  finish_opening();
  start_outputs();
  gain_.update();
  snapshot_ = &session_->newest();
  fresh_.clear();
  std::array<show::SessionEvent, 64> events;
  for (std::size_t count = 0; (count = session_->take_events(events)) > 0;) {
    fresh_.insert(
        fresh_.end(), events.begin(), events.begin() + static_cast<std::ptrdiff_t>(count));
  }
}

double Desk::stream_s() const noexcept {
  return static_cast<double>(snapshot_->samples) / session_->sample_rate_hz();
}

double Desk::fader_db() const noexcept {
  return is_stage_ ? at().controls->fader_db() : 0.0;
}

void Desk::set_fader_db(double fader_db) noexcept {
  if (is_stage_) {
    at().controls->set_fader_db(fader_db);
  }
  at().obeys_fader = false;
}

void Desk::obey_fader_db(double fader_db) noexcept {
  set_fader_db(fader_db);
  at().obeys_fader = true;
}

void Desk::lower_fader(std::size_t output, double fader_db) {
  if (is_stage_) {
    add_outputs(output + 1);
    StageControls& controls = *outputs_[output].controls;
    controls.set_fader_db(std::min(controls.fader_db(), fader_db));
  }
}

std::optional<double> Desk::sounding_fader_db(std::size_t output) const noexcept {
  const bool is_open = std::find(open_.begin(), open_.end(), output) != open_.end();
  if (!is_stage_ || !is_open || (output == at_ && !has_cuts_in_)) {
    return std::nullopt;
  }
  return outputs_[output].controls->fader_db();
}

void Desk::set_equaliser(cuts::Setting setting) {
  at().equaliser = std::move(setting);
  apply_equaliser(at());
  tell_gain();
}

void Desk::set_equaliser(std::size_t output, cuts::Setting setting) {
  if (!is_stage_ || output == at_) {
    return;
  }
  add_outputs(output + 1);
  if (outputs_[output].equaliser != setting) {
    outputs_[output].equaliser = std::move(setting);
    apply_equaliser(outputs_[output]);
  }
}

void Desk::switch_cuts(bool has_cuts_in) {
  has_cuts_in_ = has_cuts_in;
  apply_equaliser(at());
  tell_gain();
}

void Desk::apply_equaliser(Output& output) {
  const bool is_flat = &output == &at() && !has_cuts_in_;
  if (output.controls &&
      !output.controls->set_equaliser(is_flat ? cuts::Setting{} : output.equaliser,
                                      session_->sample_rate_hz())) {
    trouble_ = "the stage's equaliser takes at most 40 sections; some cuts are not in the loop.";
  }
}

/// What the output at hand wins is asked of its own loop, all others closed.
void Desk::tell_gain() {
  const loop::Scene* const scene = at().scene.get();
  if (told_ != scene) {
    told_ = scene;
    gain_.set_stage(scene == nullptr
                        ? nullptr
                        : std::shared_ptr<const loop::StageConfig>(at().scene, &scene->stage));
  }
  if (scene != nullptr) {
    gain_.set_equaliser(has_cuts_in_ ? at().equaliser : cuts::Setting{});
  }
}

}  // namespace brink::desk
