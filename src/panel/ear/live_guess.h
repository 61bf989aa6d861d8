#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ear/live_ear.h"
#include "panel/draw/text_field.h"
#include "panel/ear/ruler_hand.h"
#include "panel/live/ring_rows.h"
#include "panel/pane.h"

namespace brink::panel {

/// Blind guessing at what rings live: while answers are hidden, the ruler stands in the place of
/// the plots of every pane that has them. One for the whole window, so that a ring is guessed once.
class LiveGuess {
 public:
  /// Keeps guesses in `book`, which outlives it.
  explicit LiveGuess(io::Book& book);

  /// Once a pass, whether answers are hidden or not: takes what happened.
  void follow(Context& context);

  /// The ruler, the state of the round or its result, and the keys.
  void draw(const Rect& area, const Context& context);

  void describe(Facts& facts) const;

 private:
  [[nodiscard]] QuietWords words() const;
  void draw_state(const Rect& area, const Context& context);
  void offer_round(const Context& context);
  void offer_name(const Rect& area, const Context& context);

  io::Book& book_;
  ear::LiveEar ear_;
  RulerHand hand_;
  TextField name_;
  std::string trainee_;
  std::string target_name_;
  bool makes_no_sound_ = true;  // a simulated stage is listened to: a guess at it is none by ear
  std::vector<RulerAnswer> answers_;  // of this round
  std::optional<ear::GuessResult> result_;
  std::uint64_t serial_ = 0;  // of the newest guess in the book
};

}  // namespace brink::panel
