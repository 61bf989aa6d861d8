#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "panel/draw/text_form.h"
#include "panel/pane.h"
#include "panel/recording/file_chooser.h"
#include "panel/recording/recording_compare.h"
#include "panel/recording/recording_hand.h"
#include "panel/recording/recording_memory.h"
#include "panel/recording/recording_opener.h"
#include "panel/recording/recording_out.h"
#include "panel/recording/recording_picture.h"
#include "panel/recording/recording_plot.h"
#include "panel/recording/recording_rings.h"
#include "panel/recording/recording_sound.h"

namespace brink::panel {

/// A file: its spectrogram with the rings on it, their places as rows and to be heard, the cuts for
/// those that are ticked.
class RecordingPane final : public Pane {
 public:
  /// `picture`: for the spectrogram; none is drawn without.
  RecordingPane(const std::string& book_path, std::unique_ptr<StripTexture> picture)
      : picture_(std::move(picture)), memory_(book_path), out_(book_path) {}

  [[nodiscard]] const char* title() const noexcept override { return "Recording"; }

  void follow(Context& context) override;
  void draw(const Rect& area, Context& context) override;
  void describe(Facts& facts) const override;

 private:
  // What is shown: recording_pane.cpp.
  void open(const std::string& path, const std::function<void()>& on_news);
  void take_dropped(Context& context);
  void follow_work(const std::function<void()>& on_news);
  void take_news();
  void take_result(const std::function<void()>& on_news);
  void remember(const std::function<void()>& on_news);
  void show(listen::Analysis analysis, std::vector<Spectrogram> pictures);
  void show_channel(int channel);
  void select(std::optional<std::size_t> row);
  [[nodiscard]] std::size_t selected() const noexcept;

  [[nodiscard]] bool has_rows() const noexcept { return shown_ && !rings_.rows().empty(); }

  // Keys and mouse: recording_keys.cpp.
  void steer(Actions& actions);
  void steer_rows(Actions& actions);
  void steer_channel(Actions& actions);
  void offer_stop(Actions& actions);
  void offer_hearing(Actions& actions);
  void offer_words(Actions& actions);
  void ask_note();
  void steer_plot(const PlotScale& scale, Context& context);
  void hear(Context& context);
  [[nodiscard]] std::optional<RecordingPiece> piece_to_hear() const;

  // Drawing: recording_drawing.cpp.
  [[nodiscard]] std::string cursor_words() const;
  void draw_head(const Rect& area, const Context& context) const;
  void draw_progress(Rect& area, const Theme& theme) const;
  void draw_waiting(const Rect& area, Context& context);
  void draw_words(Rect& area, const Theme& theme) const;
  [[nodiscard]] Rect draw_sound(const Rect& area, const Theme& theme) const;
  void draw_picture(const Rect& area, Context& context);
  void draw_rows(const Rect& area, Context& context);
  void draw_shown(const Rect& area, Context& context);
  void draw_choice(const Rect& area, Context& context);

  FileChooser chooser_;
  bool is_choosing_ = true;
  RecordingOpener opener_;
  bool has_news_ = false;  // shown_ is what the opener's work has found so far
  std::shared_ptr<const listen::Analysis> shown_;  // null: nothing
  std::vector<std::string> warnings_;
  std::string drop_note_;  // what became of other files that were dropped
  std::string fault_;
  int channel_ = 0;                      // from 1; 0: all
  std::optional<RingKey> selected_key_;  // none: the first row, whichever that is
  RecordingPicture picture_;
  RecordingHand hand_;
  RecordingRings rings_;
  RecordingSound sound_;
  bool hears_alone_ = false;      // the ring alone, not the whole
  bool has_heard_alone_ = false;  // from then on both come at one loudness
  RecordingMemory memory_;
  RecordingWords words_;  // its left_out is rings_'s
  TextForm note_form_;
  RecordingOut out_;
  RecordingCompare compare_;
};

}  // namespace brink::panel
