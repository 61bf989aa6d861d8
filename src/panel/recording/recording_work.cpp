#include "panel/recording/recording_work.h"

#include <filesystem>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "io/sound_file.h"

namespace brink::panel {
namespace {

/// News more often than this share of the work changes nothing that one sees.
constexpr double kShownShare = 0.01;

}  // namespace

RecordingWork::RecordingWork(std::string path, std::function<void()> on_news)
    : path_(std::move(path)),
      on_news_(std::move(on_news)),
      thread_([this](const std::stop_token& stop) {
        try {
          study(stop);
        } catch (const base::Error& error) {
          fault_ = error.what();
          std::error_code unknown;
          is_folder_ = std::filesystem::is_directory(path_, unknown);
        }
        is_over_.store(true, std::memory_order_release);
        on_news_();
      }) {}

void RecordingWork::study(const std::stop_token& stop) {
  io::SoundReader reader(path_);
  const auto look = [&](int channel, std::int64_t heard, const detector::Detector& detector) {
    if (found_.pictures.empty()) {
      Spectrogram blank(reader.promised_samples(), detector.hop_samples());
      blank.set_delays(detector.spectrum_hz(), detector.spectrum_delay_samples());
      found_.pictures.assign(static_cast<std::size_t>(reader.channels()), blank);
    }
    found_.pictures[static_cast<std::size_t>(channel - 1)].look(
        heard, detector.spectrum_hz(), detector.spectrum_dbfs());
  };
  const auto progress = [&](double done_ratio) {
    if (done_ratio > done_ratio_.load(std::memory_order_relaxed) + kShownShare) {
      done_ratio_.store(done_ratio, std::memory_order_relaxed);
      on_news_();
    }
    return !stop.stop_requested();
  };
  found_.analysis = listen::analyse(reader, {}, progress, look);
  for (Spectrogram& picture : found_.pictures) {
    picture.finish();
  }
}

}  // namespace brink::panel
