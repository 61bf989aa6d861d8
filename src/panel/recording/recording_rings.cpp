#include "panel/recording/recording_rings.h"

#include <chrono>

#include "cuts/fit.h"
#include "cuts/planner.h"

namespace brink::panel {
namespace {

/// Half of the planner's usual: the window shows it anew for each channel and target.
constexpr std::int64_t kPlanWork = 1'000'000;

}  // namespace

RecordingRings::~RecordingRings() {
  stop_.request_stop();  // the future then waits for little
}

void RecordingRings::drop_fit() {
  is_asked_ = false;
  is_fitted_ = false;
  stop_.request_stop();
}

void RecordingRings::show(const listen::Analysis& analysis, int channel) {
  drop_fit();
  rings_.clear();
  measured_.clear();
  sample_rate_hz_ = analysis.sample_rate_hz;
  for (const listen::FoundRing& found : analysis.rings) {
    if (channel == 0 || found.channel == channel) {
      rings_.push_back(found);
      measured_.push_back(listen::to_measurement(found, analysis));
    }
  }
  places_ = listen::by_place(rings_);
}

RecordingRings::Fitted RecordingRings::fit_all(const std::stop_token& stop,
                                               const std::vector<listen::FoundRing>& rings,
                                               const std::vector<cuts::RingMeasurement>& measured,
                                               const cuts::Target& target,
                                               double sample_rate_hz) {
  Fitted fitted;
  for (const listen::FoundRing& found : rings) {
    if (stop.stop_requested()) {
      return fitted;
    }
    fitted.each.push_back(cuts::fit_cut(found.cut, target, sample_rate_hz));
  }
  if (!rings.empty()) {
    cuts::PlanConfig config;
    config.sample_rate_hz = sample_rate_hz;
    config.most_moves = target.bands + (target.high_pass_hz.empty() ? 0 : 1);
    config.work = kPlanWork;
    fitted.shared = cuts::plan_for_rings(measured, target, config).moves;
  }
  return fitted;
}

void RecordingRings::fit(const cuts::Target& target, const std::function<void()>& on_news) {
  if (target.name != target_name_) {
    target_name_ = target.name;
    kind_ = target.kind;
    drop_fit();
  }
  if (auto fitted = fitting_.take(); fitted && is_asked_) {
    fitted_ = std::move(*fitted);
    is_fitted_ = true;
  }
  if (fitting_.is_busy()) {
    return;
  }
  if (is_asked_) {
    return;
  }
  is_asked_ = true;
  stop_ = std::stop_source();
  fitting_.start(
      [stop = stop_.get_token(),
       rings = rings_,
       measured = measured_,
       target,
       rate_hz = sample_rate_hz_] { return fit_all(stop, rings, measured, target, rate_hz); },
      on_news);
}

}  // namespace brink::panel
