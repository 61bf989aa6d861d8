#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "panel/pane.h"
#include "panel/recording/file_chooser.h"
#include "panel/recording/recording_plot.h"
#include "panel/recording/recording_rings.h"
#include "panel/recording/recording_sound.h"
#include "panel/recording/recording_work.h"

namespace brink::panel {

/// A file: its spectrogram with the rings on it, the rings as rows and to be heard, the cuts for
/// all of them.
class RecordingPane final : public Pane {
 public:
  /// `picture`: for the spectrogram; none is drawn without.
  explicit RecordingPane(std::unique_ptr<StripTexture> picture) : plot_(std::move(picture)) {}

  [[nodiscard]] const char* title() const noexcept override { return "Recording"; }

  void follow(Context& context) override;
  void draw(const Rect& area, Context& context) override;
  void describe(Facts& facts) const override;

 private:
  void open(const std::string& path, const std::function<void()>& on_news);
  void take_dropped(Context& context);
  void stop(std::unique_ptr<RecordingWork> work);
  void follow_work();
  void take_result();
  void show_channel();
  void steer(Context& context);
  void hear(Context& context);
  [[nodiscard]] std::optional<RecordingPiece> piece_to_hear() const;
  void draw_head(const Rect& area, const Context& context) const;
  void draw_progress(const Rect& area, Context& context);
  [[nodiscard]] Rect draw_sound(const Rect& area, Context& context);
  void draw_found(const Rect& area, Context& context);

  FileChooser chooser_;
  bool is_choosing_ = true;
  std::unique_ptr<RecordingWork> work_;
  std::unique_ptr<RecordingWork> before_;  // goes on until it is sure that work_ is a recording
  std::vector<std::unique_ptr<RecordingWork>> stopped_;  // asked to stop, not over yet
  std::optional<StudiedRecording> found_;
  std::vector<std::string> warnings_;
  std::string drop_note_;  // what became of other files that were dropped
  std::string fault_;
  int channel_ = 0;  // from 1; 0: all
  int selected_ = 0;
  RecordingPlot plot_;
  RecordingRings rings_;
  RecordingSound sound_;
};

}  // namespace brink::panel
