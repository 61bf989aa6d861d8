#pragma once

#include <atomic>
#include <cstddef>
#include <functional>
#include <future>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "listen/analysis.h"

namespace brink::cli {

/// Analyses files side by side and hands the results over in the order of the files. Where there
/// are fewer files than jobs, the channels of a file are heard side by side too. Nothing of a
/// result depends on the number of jobs.
class AnalyseJobs {
 public:
  /// `jobs`: at least 1. `is_stopped` is asked on every thread, many times a second.
  AnalyseJobs(std::vector<std::string> files,
              listen::AnalysisOptions options,
              int jobs,
              std::function<bool()> is_stopped);
  /// Stops what is not done yet.
  ~AnalyseJobs();
  AnalyseJobs(const AnalyseJobs&) = delete;
  AnalyseJobs& operator=(const AnalyseJobs&) = delete;
  AnalyseJobs(AnalyseJobs&&) = delete;
  AnalyseJobs& operator=(AnalyseJobs&&) = delete;

  /// Waits for the analysis of the next file; meanwhile calls `show` now and then with the share of
  /// it that is done. Throws base::Error where that file could not be analysed; call it again for
  /// the one after it. Not more often than there are files.
  [[nodiscard]] listen::Analysis next(const std::function<void(double done_ratio)>& show);

 private:
  struct Job {
    std::promise<listen::Analysis> promise;
    std::future<listen::Analysis> result;
    std::atomic<double> done_ratio{0.0};
  };

  void work();
  [[nodiscard]] listen::Analysis analyse(std::size_t file);

  std::vector<std::string> files_;
  listen::AnalysisOptions options_;
  std::function<bool()> is_stopped_;
  std::atomic<bool> is_over_{false};
  std::vector<Job> jobs_;
  std::atomic<std::size_t> begun_{0};
  std::size_t given_ = 0;
  std::vector<std::jthread> threads_;  // last: the others outlive it
};

/// As many jobs as this machine has cores, at least 1.
[[nodiscard]] int usual_jobs() noexcept;

}  // namespace brink::cli
