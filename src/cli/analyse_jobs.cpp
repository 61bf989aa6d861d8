#include "cli/analyse_jobs.h"

#include <algorithm>
#include <chrono>
#include <utility>

#include "io/sound_file.h"

namespace brink::cli {

AnalyseJobs::AnalyseJobs(std::vector<std::string> files,
                         listen::AnalysisOptions options,
                         int jobs,
                         std::function<bool()> is_stopped)
    : files_(std::move(files)),
      options_(std::move(options)),
      is_stopped_(std::move(is_stopped)),
      jobs_(files_.size()) {
  for (Job& job : jobs_) {
    job.result = job.promise.get_future();
  }
  const int side_by_side = std::clamp(static_cast<int>(files_.size()), 1, jobs);
  options_.jobs = jobs / side_by_side;
  for (int i = 0; i < side_by_side; ++i) {
    threads_.emplace_back([this] { work(); });
  }
}

AnalyseJobs::~AnalyseJobs() {
  is_over_ = true;
}

void AnalyseJobs::work() {
  for (std::size_t i = begun_++; i < files_.size() && !is_over_ && !is_stopped_(); i = begun_++) {
    try {
      jobs_[i].promise.set_value(analyse(i));
    } catch (...) {
      jobs_[i].promise.set_exception(std::current_exception());
    }
  }
}

listen::Analysis AnalyseJobs::analyse(std::size_t file) {
  io::SoundReader reader(files_[file]);
  return listen::analyse(reader, options_, [&](double done_ratio) {
    jobs_[file].done_ratio.store(done_ratio, std::memory_order_relaxed);
    return !is_over_ && !is_stopped_();
  });
}

listen::Analysis AnalyseJobs::next(const std::function<void(double done_ratio)>& show) {
  Job& job = jobs_[given_++];
  constexpr auto kPause = std::chrono::milliseconds(50);
  while (job.result.wait_for(kPause) != std::future_status::ready) {
    show(job.done_ratio.load(std::memory_order_relaxed));
    if (is_stopped_()) {
      listen::Analysis stopped;
      stopped.was_stopped = true;
      return stopped;
    }
  }
  return job.result.get();
}

int usual_jobs() noexcept {
  return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

}  // namespace brink::cli
