#include "desk/true_gain.h"

#include <utility>

#include "loop/open_loop.h"
#include "loop/truth.h"

namespace brink::desk {
namespace {

double won_by(const cuts::Setting& setting, const loop::StageConfig& stage) {
  const std::vector<double> taps = loop::loop_taps(stage, 0.0);
  const double rate_hz = stage.sample_rate_hz;
  const loop::OpenLoop flat(taps, {}, rate_hz);
  const loop::OpenLoop cut(taps, cuts::to_sections(setting, rate_hz), rate_hz);
  return loop::max_stable_gain_db(cut) - loop::max_stable_gain_db(flat);
}

}  // namespace

void TrueGain::set_stage(std::shared_ptr<const loop::StageConfig> stage) {
  stage_ = std::move(stage);
  set_equaliser({});
}

void TrueGain::set_equaliser(cuts::Setting setting) {
  setting_ = std::move(setting);
  won_db_.reset();
  is_stale_ = true;
  start();
}

void TrueGain::start() {
  const bool is_flat = setting_.cuts.empty() && setting_.high_pass.corner_hz <= 0.0;
  if (!is_stale_ || working_.is_busy()) {
    return;
  }
  is_stale_ = false;
  if (!stage_ || is_flat) {
    won_db_ = stage_ ? std::optional(0.0) : std::nullopt;
    return;
  }
  working_.start([stage = stage_, setting = setting_] { return won_by(setting, *stage); },
                 on_news_);
}

void TrueGain::update() {
  if (const auto won_db = working_.take(); won_db && !is_stale_) {
    won_db_ = won_db;
  }
  start();
}

}  // namespace brink::desk
