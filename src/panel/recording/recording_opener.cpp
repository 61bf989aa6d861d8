#include "panel/recording/recording_opener.h"

#include <utility>

namespace brink::panel {

void RecordingOpener::stop(std::unique_ptr<RecordingWork> work) {
  if (work) {
    work->stop();
    stopped_.push_back(std::move(work));
  }
}

void RecordingOpener::open(const std::string& path, const std::function<void()>& on_news) {
  if (work_) {
    stop(std::move(before_));
    before_ = std::move(work_);
  }
  work_ = std::make_unique<RecordingWork>(path, on_news);
}

void RecordingOpener::follow() {
  std::erase_if(stopped_, [](const auto& work) { return work->is_over(); });
  if (before_ && work_->done_ratio() > 0.0) {
    stop(std::move(before_));  // the new one is a recording
  }
}

void RecordingOpener::go_back() {
  work_ = std::move(before_);
}

void RecordingOpener::close() {
  stop(std::move(before_));
  work_.reset();
}

}  // namespace brink::panel
