#pragma once

#include <atomic>
#include <chrono>
#include <functional>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include "listen/analyser.h"
#include "listen/analysis.h"
#include "panel/plots/spectrogram.h"

namespace brink::panel {

/// What is known of a recording: its rings, and a picture of each channel.
struct StudiedRecording {
  listen::Analysis analysis;
  std::vector<Spectrogram> pictures;
};

/// Analyses a file on threads of its own, on all cores but for what the window needs. Going out of
/// life stops it.
class RecordingWork {
 public:
  /// `on_news` is called on that thread whenever there is something to show.
  RecordingWork(std::string path, std::function<void()> on_news);
  ~RecordingWork();
  RecordingWork(const RecordingWork&) = delete;
  RecordingWork& operator=(const RecordingWork&) = delete;
  RecordingWork(RecordingWork&&) = delete;
  RecordingWork& operator=(RecordingWork&&) = delete;

  [[nodiscard]] const std::string& path() const noexcept { return path_; }

  [[nodiscard]] double done_ratio() const noexcept {
    return done_ratio_.load(std::memory_order_relaxed);
  }

  /// How long it has worked.
  [[nodiscard]] double spent_s() const noexcept {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begun_).count();
  }

  /// What was found until about half a second ago, with pictures that far; nothing when that was
  /// taken already. Never waits.
  [[nodiscard]] std::unique_ptr<StudiedRecording> take_news() noexcept {
    return std::unique_ptr<StudiedRecording>(news_.exchange(nullptr, std::memory_order_acq_rel));
  }

  /// What was found until then is kept.
  void stop() noexcept { thread_.request_stop(); }

  /// Only if this is true may the following be read.
  [[nodiscard]] bool is_over() const noexcept { return is_over_.load(std::memory_order_acquire); }

  /// One sentence when the file could not be analysed.
  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

  /// It is a folder, so it cannot be opened as a file.
  [[nodiscard]] bool is_folder() const noexcept { return is_folder_; }

  [[nodiscard]] StudiedRecording& found() noexcept { return found_; }

 private:
  void study(const std::stop_token& stop);
  void publish(StudiedRecording found);

  std::string path_;
  std::function<void()> on_news_;
  std::chrono::steady_clock::time_point begun_ = std::chrono::steady_clock::now();
  std::atomic<double> done_ratio_{0.0};
  std::atomic<bool> is_over_{false};
  std::string fault_;
  bool is_folder_ = false;
  StudiedRecording found_;
  std::atomic<StudiedRecording*> news_{nullptr};  // whose it is that has exchanged it last
  std::jthread thread_;                           // last: the others outlive it
};

}  // namespace brink::panel
