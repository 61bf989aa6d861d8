#pragma once

#include <string>

#include "panel/draw/text_field.h"
#include "panel/ear/ear_practice.h"
#include "panel/ear/ear_progress_page.h"
#include "panel/ear/ruler_hand.h"
#include "panel/pane.h"

namespace brink::panel {

/// Practice on exercises of the simulated stage, and the trainee's progress.
class EarPane final : public Pane {
 public:
  EarPane(const std::string& book_path, io::Book& book, const std::function<void()>& on_news);

  [[nodiscard]] const char* title() const noexcept override { return "Ear"; }

  void follow(Context& context) override;
  void draw(const Rect& area, Context& context) override;
  void describe(Facts& facts) const override;

 private:
  void begin(Context& context);
  void draw_practice(const Rect& area, Context& context);
  void draw_head(const Rect& area, const Context& context) const;
  void offer_round(Context& context);
  void draw_name(Rect& rows, Context& context);
  void draw_settings(Rect area, Context& context);
  void draw_sound(Rect area, Context& context);
  void draw_session(const Rect& area, const Context& context) const;
  [[nodiscard]] std::string level_words() const;

  const io::Book& book_;
  EarPractice practice_;
  EarProgressPage progress_;
  RulerHand hand_;
  TextField name_;
  int kind_ = 0;
  bool by_note_ = false;
  bool shows_progress_ = false;
  std::string blind_fault_;  // why nothing can be guessed live; empty: nothing was asked
};

}  // namespace brink::panel
