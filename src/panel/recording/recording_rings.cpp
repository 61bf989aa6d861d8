#include "panel/recording/recording_rings.h"

#include <algorithm>
#include <iterator>
#include <utility>

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

void RecordingRings::show(std::shared_ptr<const listen::Analysis> analysis, int channel) {
  drop_fit();
  analysis_ = std::move(analysis);
  channel_ = channel;
  of_channel_.clear();
  std::copy_if(analysis_->rings.begin(),
               channel_ == 0 ? analysis_->rings.begin() : analysis_->rings.end(),
               std::back_inserter(of_channel_),
               [&](const listen::FoundRing& found) { return found.channel == channel_; });
  rows_ = listen::to_rows(rings(), order_);
}

void RecordingRings::sort(listen::RowOrder order) {
  order_ = order;
  rows_ = listen::to_rows(rings(), order_);
}

std::optional<std::size_t> RecordingRings::row_of(RingKey ring) const noexcept {
  const auto has = [&](const listen::FoundPlace& place) {
    return std::any_of(place.rings.begin(), place.rings.end(), [&](std::size_t i) {
      return rings()[i].channel == ring.channel && rings()[i].ring.id == ring.id;
    });
  };
  const auto row = std::find_if(rows_.begin(), rows_.end(), [&](const listen::PlaceRow& one) {
    return has(one.place) || std::any_of(one.folded.begin(),
                                         one.folded.end(),
                                         [&](const auto& folded) { return has(folded.place); });
  });
  return row == rows_.end() ? std::nullopt
                            : std::optional(static_cast<std::size_t>(row - rows_.begin()));
}

void RecordingRings::tick(std::size_t i, bool is_ticked) {
  if (is_ticked) {
    left_out_.erase(key(i));
  } else {
    left_out_.insert(key(i));
  }
  drop_fit();
}

void RecordingRings::leave_out(std::set<RingKey> keys) {
  left_out_ = std::move(keys);
  drop_fit();
}

RecordingRings::Task RecordingRings::task(const cuts::Target& target) const {
  Task task{{}, {}, {}, target, analysis_->sample_rate_hz};
  for (const listen::FoundRing& found : rings()) {
    task.each.push_back(found.cut);
  }
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    if (is_ticked(i)) {
      const auto& rings = rows_[i].place.rings;
      task.ticked.insert(task.ticked.end(), rings.begin(), rings.end());
    }
  }
  std::sort(task.ticked.begin(), task.ticked.end());  // the plan is the same in either order
  for (const std::size_t ring : task.ticked) {
    task.measured.push_back(listen::to_measurement(rings()[ring], *analysis_));
  }
  return task;
}

RecordingRings::Fitted RecordingRings::fit_all(const std::stop_token& stop, const Task& task) {
  Fitted fitted;
  for (const cuts::Cut& cut : task.each) {
    if (stop.stop_requested()) {
      return fitted;
    }
    fitted.each.push_back(cuts::fit_cut(cut, task.target, task.sample_rate_hz));
  }
  if (!task.measured.empty()) {
    cuts::PlanConfig config;
    config.sample_rate_hz = task.sample_rate_hz;
    config.most_moves = task.target.bands + (task.target.high_pass_hz.empty() ? 0 : 1);
    config.work = kPlanWork;
    fitted.shared = cuts::plan_for_rings(task.measured, task.target, config).moves;
  }
  for (cuts::Move& move : fitted.shared) {
    for (int& ring : move.for_rings) {
      ring = static_cast<int>(task.ticked[static_cast<std::size_t>(ring)]);
    }
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
  fitting_.start([stop = stop_.get_token(), task = task(target)] { return fit_all(stop, task); },
                 on_news);
}

cuts::Setting RecordingRings::shared_setting() const {
  cuts::Setting setting;
  for (const cuts::Move& move : fitted_.shared) {
    setting.cuts.push_back(move.cut);
  }
  return setting;
}

}  // namespace brink::panel
