#include "panel/recording/recording_work.h"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "io/paths.h"
#include "io/sound_file.h"

namespace brink::panel {
namespace {

/// News more often than this changes nothing that one sees.
constexpr auto kBetweenNews = std::chrono::milliseconds(400);
/// Telling what was found takes longer with each ring and channel; it shall take at most a tenth of
/// the time.
constexpr int kWorkBetweenNews = 9;

int jobs() {
  return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

/// One for each channel, before any is looked at: looks may come side by side.
std::vector<SpectrogramMaker> picture_makers(const io::SoundReader& reader) {
  const detector::Detector detector({reader.sample_rate_hz()});
  std::vector<SpectrogramMaker> makers;
  for (int channel = 1; channel <= reader.channels(); ++channel) {
    makers.emplace_back(reader.promised_samples(), detector.hop_samples())
        .set_delays(detector.spectrum_hz(), detector.spectrum_delay_samples());
  }
  return makers;
}

std::vector<Spectrogram> pictures_of(const std::vector<SpectrogramMaker>& makers) {
  std::vector<Spectrogram> pictures;
  for (const SpectrogramMaker& maker : makers) {
    pictures.push_back(maker.picture());
  }
  return pictures;
}

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
          is_folder_ = std::filesystem::is_directory(io::to_path(path_), unknown);
        }
        is_over_.store(true, std::memory_order_release);
        on_news_();
      }) {}

RecordingWork::~RecordingWork() {
  thread_.request_stop();
  thread_.join();
  take_news().reset();
}

void RecordingWork::publish(StudiedRecording found) {
  auto news = std::make_unique<StudiedRecording>(std::move(found));
  delete news_.exchange(news.release(), std::memory_order_acq_rel);
}

void RecordingWork::study(const std::stop_token& stop) {
  io::SoundReader reader(path_);
  std::vector<SpectrogramMaker> makers = picture_makers(reader);
  const auto look = [&](int channel, std::int64_t heard, const detector::Detector& detector) {
    makers[static_cast<std::size_t>(channel - 1)].look(
        heard, detector.spectrum_hz(), detector.spectrum_dbfs());
  };
  listen::AnalysisOptions options;
  options.jobs = jobs();
  listen::Analyser analyser(reader, options, look);
  auto next_news = begun_ + kBetweenNews;
  while (!stop.stop_requested() && analyser.advance()) {
    done_ratio_.store(analyser.done_ratio(), std::memory_order_relaxed);
    if (const auto now = std::chrono::steady_clock::now(); now >= next_news) {
      take_news().reset();  // nobody took it: its memory is free for the next
      publish({analyser.so_far(), pictures_of(makers)});
      on_news_();
      const auto told = std::chrono::steady_clock::now();
      next_news = told + std::max<std::chrono::steady_clock::duration>(
                             kBetweenNews, kWorkBetweenNews * (told - now));
    }
  }
  found_.analysis = analyser.finish();
  for (SpectrogramMaker& maker : makers) {
    maker.finish();
  }
  found_.pictures = pictures_of(makers);
}

}  // namespace brink::panel
