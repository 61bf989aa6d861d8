#pragma once

#include <string>

#include "app/ear/progress.h"
#include "panel/background.h"
#include "panel/ear_practice.h"
#include "panel/pane.h"
#include "panel/ruler_hand.h"
#include "panel/text_field.h"
#include "panel/written_file.h"

namespace brink::panel {

/// Practice on exercises of the simulated stage, and how the trainee comes on.
class EarPane final : public Pane {
 public:
  EarPane(std::string book_path, io::Book& book, std::function<void()> on_news);

  [[nodiscard]] const char* title() const noexcept override { return "Ear"; }

  void follow(Context& context) override;
  void draw(const Rect& area, Context& context) override;
  void describe(Facts& facts) const override;

 private:
  /// What the book knows of a trainee.
  struct Records {
    std::string newest_trainee;  ///< who guessed last
    app::EarProgress progress;
  };

  void ask_records(const std::string& trainee);
  void take_records(Context& context);
  void begin(Context& context);
  void draw_practice(const Rect& area, Context& context);
  void draw_head(const Rect& area, const Context& context) const;
  void offer_round(Context& context);
  void draw_name(Rect& rows, Context& context);
  void draw_settings(Rect area, Context& context);
  void draw_sound(Rect area, Context& context);
  void offer_files(Context& context);
  void draw_progress(const Rect& area, Context& context);
  void draw_session(const Rect& area, const Context& context) const;
  [[nodiscard]] std::string level_words() const;

  std::string book_path_;
  io::Book& book_;
  std::function<void()> on_news_;
  EarPractice practice_;
  RulerHand hand_;
  TextField name_;
  int kind_ = 0;
  bool by_note_ = false;
  bool shows_progress_ = false;
  bool has_asked_ = false;
  Background<Records> reading_;
  WrittenFile written_;
  Records records_;
  std::string records_fault_;
  std::uint64_t records_serial_ = 0;  // of the book, when they were asked for
};

}  // namespace brink::panel
