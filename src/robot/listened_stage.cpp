#include "robot/listened_stage.h"

#include <cmath>

#include "base/units.h"

namespace brink::robot {
namespace {

/// The level of a ring in the limiter changes only with the fader's steps.
constexpr double kSteadyDb = 1.0;

/// The stage without its plan: the caller moves fader and equaliser.
loop::StageConfig unplanned(const loop::StageConfig& planned) {
  loop::StageConfig config = planned;
  config.tap = loop::Tap::kMicrophone;
  config.plan = {};
  config.moved_response.clear();
  config.listener_response.clear();
  return config;
}

}  // namespace

ListenedStage::ListenedStage(const loop::Scene& scene)
    : config_(unplanned(scene.stage)),
      programme_(scene.programme),
      stage_(config_),
      detector_({.sample_rate_hz = config_.sample_rate_hz}),
      hop_(static_cast<std::size_t>(detector_.hop_samples())),
      tap_(hop_.size()) {}

void ListenedStage::set_fader_db(double fader_db) noexcept {
  fader_db_ = fader_db;
  stage_.set_fader_db(fader_db);
}

bool ListenedStage::set_equaliser(const cuts::Setting& setting) {
  return stage_.set_equaliser(cuts::to_sections(setting, config_.sample_rate_hz));
}

void ListenedStage::step() {
  programme_.fill(hop_);
  stage_.process(hop_, tap_);
  detector_.push(tap_, heard_);
  heard_.look_at(detector_.tracks());
  look_for_loudest();
}

void ListenedStage::look_for_loudest() {
  const std::uint64_t last_id = loudest_.track_id;
  loudest_ = {};
  loudest_.level_dbfs = base::kSilenceDb;
  for (const detector::TrackView& track : detector_.tracks()) {
    if (track.level_dbfs > loudest_.level_dbfs) {
      loudest_ = track;
    }
  }
  if (loudest_.track_id != last_id || std::abs(loudest_.level_dbfs - steady_dbfs_) > kSteadyDb) {
    steady_dbfs_ = loudest_.level_dbfs;
    steady_since_s_ = now_s();
  }
}

void ListenedStage::listen(double seconds) {
  const double until_s = now_s() + seconds;
  while (now_s() < until_s) {
    step();
  }
}

void ListenedStage::listen_afresh(double settle_s) {
  detector_ = detector::Detector({.sample_rate_hz = config_.sample_rate_hz});
  steady_since_s_ = now_s();
  listen(settle_s);
  heard_.forget_before(detector_.counts().samples);
}

double ListenedStage::now_s() const noexcept {
  return static_cast<double>(stage_.sample_index()) / config_.sample_rate_hz;
}

double ListenedStage::step_s() const noexcept {
  return static_cast<double>(hop_.size()) / config_.sample_rate_hz;
}

}  // namespace brink::robot
