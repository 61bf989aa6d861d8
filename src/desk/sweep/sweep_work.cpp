#include "desk/sweep/sweep_work.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "base/error.h"
#include "desk/sweep/live_sweep_way.h"
#include "desk/sweep/stage_sweep_way.h"
#include "io/live/play_memory.h"
#include "loop/open_loop.h"

namespace brink::desk {
namespace {

using Phase = SweepRun::Phase;

void require(double value, double least, double most, const char* what, const char* unit) {
  if (!(value >= least && value <= most)) {
    throw base::Error(
        fmt::format("{} is from {:g} to {:g}{}{}.", what, least, most, *unit ? " " : "", unit));
  }
}

void check(const SweepSettings& settings) {
  require(settings.output_channel, 0, 64, "The output's channel", "");
  require(settings.reference_channel, 0, 64, "The reference's channel", "");
  require(settings.ceiling_dbfs, -100.0, io::kPlayCeilingDbfs, "The ceiling", "dBFS");
  require(settings.length_s, 1.0, 60.0, "The length of a sweep", "s");
  require(settings.decay_s, 0.2, 20.0, "The time for the room", "s");
  const report::SweepKnowledge& known = settings.known;
  require(1000.0 * known.console_delay_s.value_or(0.0), 0.0, 500.0, "The console's delay", "ms");
  require(known.console_gain_db.value_or(0.0), -150.0, 150.0, "The console's gain", "dB");
  require(known.distance_m.value_or(1.0), 0.05, 200.0, "The distance", "m");
}

/// Without the travel of the first sound, whose many turns would hide the rest.
std::vector<double> phases_of(const loop::MeasuredLoop& loop) {
  const loop::OpenLoop taps(loop.taps, {}, loop.sample_rate_hz);
  std::vector<double> phases_deg;
  for (const loop::MeasuredBand& band : loop.bands) {
    const double turned = std::arg(taps.at_hz(band.centre_hz).gain) / (2.0 * std::numbers::pi) +
                          band.centre_hz * loop.direct_s;
    phases_deg.push_back(360.0 * (turned - std::round(turned)));
  }
  return phases_deg;
}

}  // namespace

SweepWork::SweepWork(std::function<void()> on_news)
    : on_news_(std::move(on_news)), held_(std::make_shared<HeldSweep>(on_news_)) {}

loop::SweepSignal SweepWork::signal() const noexcept {
  loop::SweepSignal signal;
  signal.sweep.length_s = settings_.length_s;
  signal.decay_s = settings_.decay_s;
  return signal;
}

HeldSweep::Maker SweepWork::maker() const {
  if (scene_) {
    return [scene = scene_, signal = signal()] {
      return std::make_unique<StageSweepWay>(scene, signal);
    };
  }
  LiveSweepOptions options;
  options.output = settings_.output;
  options.output_channel = settings_.output_channel;
  options.input = input_;
  options.channel = tap_;
  options.reference_channel = settings_.reference_channel;
  options.signal = signal();
  return [options] { return std::make_unique<LiveSweepWay>(options); };
}

report::SweepKnowledge SweepWork::known() const {
  if (!scene_) {
    return settings_.known;
  }
  report::SweepKnowledge known;
  known.console_delay_s = scene_->stage.console_delay_s;
  known.console_gain_db = fader_db_;
  return known;
}

void SweepWork::say_shut(bool is_shut) {
  is_shut_ = is_shut;
  if (!is_shut) {
    close();
  }
}

void SweepWork::step_level(int steps) noexcept {
  level_dbfs_ = std::clamp(level_dbfs_ + kLevelStepDb * steps,
                           kLowestDbfs,
                           std::max(kLowestDbfs, settings_.ceiling_dbfs));
}

void SweepWork::set(SweepSettings settings) {
  check(settings);
  close();  // what is open was opened for the old ones
  settings_ = std::move(settings);
  step_level(0);
  if (report_) {
    swept_known_ = known();
    plan_anew();
  }
}

void SweepWork::step_sound() noexcept {
  constexpr int kSounds = 3;
  settings_.sound = static_cast<cuts::Sound>((static_cast<int>(settings_.sound) + 1) % kSounds);
}

void SweepWork::hold(bool is_held, const base::AtRelease& at_release) {
  if (is_held && !is_held_ && is_shut_ && !making_.is_busy()) {
    fault_.clear();
    held_->press(maker(), level_dbfs_);
    if (at_release) {
      at_release([pressed = std::weak_ptr(held_)] {
        if (const auto held = pressed.lock()) {
          held->release();
        }
      });
    }
  } else if (!is_held && is_held_) {
    held_->release();
  }
  is_held_ = is_held;
}

void SweepWork::close() {
  held_->close();
}

SweepWork::State SweepWork::state() const noexcept {
  if (making_.is_busy()) {
    return State::kMeasuring;
  }
  if (!is_shut_) {
    return State::kUnsaid;
  }
  switch (held_state_.is_open ? held_state_.phase : Phase::kReady) {
    case Phase::kStarting:
      return State::kOpening;
    case Phase::kPlaying:
      return State::kPlaying;
    case Phase::kDecaying:
    case Phase::kDone:
      return State::kMeasuring;
    default:
      return State::kReady;
  }
}

std::string SweepWork::fault() const {
  if (!held_state_.fault.empty()) {
    return held_state_.fault;
  }
  return held_state_.was_released ? "let go before the end: nothing was measured." : fault_;
}

void SweepWork::take_sweep() {
  std::optional<SweepTake> take = held_->take();
  if (!take) {
    return;
  }
  made_at_ = std::chrono::system_clock::now();
  swept_known_ = known();
  report::SweepReport report;
  report.from = scene_ ? "stage" : "sweep";
  report.level_dbfs = take->level_dbfs;
  report.known = swept_known_;
  report.plan.target = target_;
  report.plan.sound = settings_.sound;
  making_.start(
      [loop_count = loop_count_, take = std::move(*take), report = std::move(report)]() mutable {
        report.loop = measure(take);
        report.plan.sample_rate_hz = report.loop.sample_rate_hz;
        report::finish_sweep_report(report);
        std::vector<double> phases_deg = phases_of(report.loop);
        return Made{loop_count, std::move(report), std::move(phases_deg)};
      },
      on_news_);
}

/// The same measurement for another target or sound, or with more known of it.
void SweepWork::plan_anew() {
  report::SweepReport report;
  report.from = report_->from;
  report.level_dbfs = report_->level_dbfs;
  report.loop = report_->loop;
  report.known = swept_known_;
  report.plan.target = target_;
  report.plan.sound = settings_.sound;
  report.plan.sample_rate_hz = report.loop.sample_rate_hz;
  making_.start(
      [loop_count = loop_count_, report = std::move(report), phases_deg = phases_deg_]() mutable {
        report::finish_sweep_report(report);
        return Made{loop_count, std::move(report), std::move(phases_deg)};
      },
      on_news_);
}

void SweepWork::take_report() {
  try {
    if (auto made = making_.take(); made && made->loop_count == loop_count_) {
      report_ = std::move(made->report);
      phases_deg_ = std::move(made->phases_deg);
      ++report_count_;
    }
  } catch (const base::Error& error) {
    fault_ = error.what();
  }
}

void SweepWork::follow(Desk& desk, int tap) {
  const bool is_other = desk.source_count() != source_count_ || desk.scene() != scene_ ||
                        (!desk.is_stage() && tap != tap_);
  if (is_other) {
    source_count_ = desk.source_count();
    scene_ = desk.scene();
    tap_ = tap;
    input_ = desk.session().source_name();
    say_shut(false);
    ++loop_count_;
    report_.reset();
    fault_.clear();
  }
  fader_db_ = desk.fader_db();
  held_state_ = held_->state();
  take_sweep();
  take_report();
  if (desk.target().source_text != target_.source_text) {
    target_ = desk.target();
  }
  if (report_ && !making_.is_busy() &&
      (report_->plan.target.source_text != target_.source_text ||
       report_->plan.sound != settings_.sound)) {
    plan_anew();
  }
}

}  // namespace brink::desk
