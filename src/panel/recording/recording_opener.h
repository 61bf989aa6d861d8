#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "panel/recording/recording_work.h"

namespace brink::panel {

/// Analyses one file after the other. The work before goes on until it is sure that the new file is
/// a recording, so that a wrong file costs nothing.
class RecordingOpener {
 public:
  void open(const std::string& path, const std::function<void()>& on_news);

  /// Once a pass: lets the work before go when it is not needed any more.
  void follow();

  /// What is analysed; null: nothing.
  [[nodiscard]] RecordingWork* work() const noexcept { return work_.get(); }

  /// It is not sure yet that work() is a recording, and the one before goes on.
  [[nodiscard]] bool has_before() const noexcept { return before_ != nullptr; }

  /// Drops work(). The one before, if any, is in its place again.
  void go_back();

  /// Drops work(), and stops the one before.
  void close();

 private:
  void stop(std::unique_ptr<RecordingWork> work);

  std::unique_ptr<RecordingWork> work_;
  std::unique_ptr<RecordingWork> before_;
  std::vector<std::unique_ptr<RecordingWork>> stopped_;  // asked to stop, not over yet
};

}  // namespace brink::panel
