#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/background.h"
#include "panel/plots/spectrogram.h"
#include "panel/recording/recording_view.h"

namespace brink::panel {

/// Levels of a part of a recording, for each channel that is in it.
struct RecordingSection {
  std::string path;
  double sample_rate_hz = 48000.0;
  std::int64_t from = 0;
  std::int64_t to = 0;
  int first_channel = 1;
  std::vector<Spectrogram> channels;
};

/// Reads a part of a recording. An empty section when it was stopped. Throws base::Error when the
/// file is not what it was any more.
[[nodiscard]] RecordingSection read_section(const std::stop_token& stop,
                                            const std::string& path,
                                            std::int64_t from,
                                            std::int64_t to,
                                            int channel);

/// The spectrogram of a recording. What the whole file's picture is too coarse for is read from the
/// file again on a thread of its own; until it is there, the coarse one is shown.
class RecordingPicture {
 public:
  /// Without a texture nothing is drawn; levels are told all the same.
  explicit RecordingPicture(std::unique_ptr<StripTexture> texture) : texture_(std::move(texture)) {}

  ~RecordingPicture();
  RecordingPicture(const RecordingPicture&) = delete;
  RecordingPicture& operator=(const RecordingPicture&) = delete;
  RecordingPicture(RecordingPicture&&) = delete;
  RecordingPicture& operator=(RecordingPicture&&) = delete;

  /// Takes over the pictures of a whole recording.
  void open(RecordingSection whole);
  /// From 1; 0: all.
  void show_channel(int channel);
  /// Once a pass. `is_resting`: the file is not to be read now.
  void follow(const RecordingView& view, bool is_resting, const std::function<void()>& on_news);

  void draw(const PlotScale& scale) const;

  /// The highest level that the picture has at that moment within 2.5 % of the frequency, dBFS, at
  /// least kDarkDbfs; nothing outside of it.
  [[nodiscard]] std::optional<float> level_dbfs(int channel,
                                                double sample,
                                                double frequency_hz) const;

  /// How long one column of what is shown is.
  [[nodiscard]] double column_s() const noexcept;

  /// The part that is shown is being read.
  [[nodiscard]] bool is_reading() const noexcept { return reading_.is_busy(); }

 private:
  [[nodiscard]] const RecordingSection& present() const noexcept { return fine_ ? *fine_ : whole_; }

  void take_read();
  void ask(const RecordingView& view, const std::function<void()>& on_news);
  void drop_fine() noexcept;
  [[nodiscard]] bool fills() const noexcept;
  void fill_line(int line);

  std::unique_ptr<StripTexture> texture_;
  RecordingSection whole_;
  std::optional<RecordingSection> fine_;  // covers what is shown
  int channel_ = 0;
  int next_line_ = 0;    // of the texture, and how many from there on
  int stale_lines_ = 0;  // do not hold present() yet
  std::int64_t asked_from_ = 0, asked_to_ = 0;
  std::stop_source stop_;
  base::Background<RecordingSection> reading_;
};

}  // namespace brink::panel
