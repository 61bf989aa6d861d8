#include "panel/ear/live_guess.h"

#include <fmt/format.h>

#include <array>
#include <chrono>

#include "base/printable.h"
#include "panel/draw/draw.h"
#include "panel/ear/guess_result.h"
#include "panel/live/ring_rows.h"
#include "panel/live/shown_tap.h"
#include "panel/window/now.h"

namespace brink::panel {
namespace {

constexpr float kPadding = 20.0F;
/// Stands in until a name was typed; nothing is locked under it.
constexpr const char* kNobody = "?";

/// Why nothing can be guessed by ear.
QuietWords no_sound_words() {
  return {"No sound to guess by",
          "The simulated stage makes no sound. I chooses an input to guess at; the pane Ear has "
          "sounds."};
}

QuietWords words_of(const ear::LiveEar& ear) {
  switch (ear.phase()) {
    case ear::LiveEar::Phase::kWaiting:
      if (ear.is_sounding()) {
        return {"It rings on", "Its answer was given. What rings next is the next round."};
      }
      return {"Nothing rings yet", "Answers are hidden, the detector goes on. H shows them."};
    case ear::LiveEar::Phase::kSounding:
      return {"It rings. Where?", "Put the mark where you hear it, then lock it. H gives it up."};
    case ear::LiveEar::Phase::kScored:
      return {"Scored", "Enter goes on to the next ring."};
    case ear::LiveEar::Phase::kUnscored:
      break;
  }
  switch (ear.why()) {
    case ear::LiveEar::Reason::kUnsure:
      return {"Not scored", "The ring's frequency was not sure enough to score against."};
    case ear::LiveEar::Reason::kSeen:
      return {"Not scored", "Its frequency was shown while it rang."};
    default:
      return {"Not scored", "The ring went before the guess was locked; that is never wrong."};
  }
}

}  // namespace

LiveGuess::LiveGuess(io::Book& book)
    : book_(book),
      ear_(kNobody, cuts::built_in_targets().front(), [this](const show::GuessRecord& record) {
        serial_ = book_.keep(record);
      }) {}

QuietWords LiveGuess::words() const {
  return makes_no_sound_ ? no_sound_words() : words_of(ear_);
}

void LiveGuess::follow(Context& context) {
  makes_no_sound_ = context.desk.is_stage();
  if (trainee_ != context.view.trainee) {
    trainee_ = context.view.trainee;
    ear_.set_trainee(trainee_.empty() ? kNobody : trainee_);
  }
  const cuts::Target& target = context.desk.target();
  if (target_name_ != target.name) {
    target_name_ = target.name;
    ear_.set_target(target);
  }
  if (ear_.is_blind() != context.view.hides_answers) {
    ear_.set_blind(context.view.hides_answers);
    if (!ear_.is_blind()) {
      answers_.clear();
      result_.reset();
      ear_.next(now_s());
    }
  }
  ear_.follow(context.show.flow().rings(), now_s());
  const bool is_lost =
      ear_.phase() == ear::LiveEar::Phase::kUnscored && ear_.why() == ear::LiveEar::Reason::kGone;
  if (is_lost && ear_.is_anything_open()) {
    ear_.next(now_s());  // there is no answer to look at: the new ring is the next round
  }
}

void LiveGuess::offer_round(const Context& context) {
  const bool is_over = ear_.phase() == ear::LiveEar::Phase::kScored ||
                       ear_.phase() == ear::LiveEar::Phase::kUnscored;
  if (is_over && context.actions.offer(Key::kEnter, "Enter", "next ring to guess")) {
    answers_.clear();
    result_.reset();
    ear_.next(now_s());
  }
  const bool can_lock =
      ear_.phase() == ear::LiveEar::Phase::kSounding && !trainee_.empty() && !makes_no_sound_;
  if (can_lock && context.actions.offer(Key::kEnter, "Enter", "lock the guess")) {
    result_ = ear_.lock(context.show.flow().rings(), now_s(), std::chrono::system_clock::now());
    if (result_) {
      answers_ = {{result_->record.guessed_hz, result_->truth.frequency_hz}};
    }
  }
}

void LiveGuess::offer_name(const Rect& area, const Context& context) {
  const Theme& theme = context.theme;
  if (name_.is_open()) {
    if (name_.draw(area, context) && !name_.text().empty()) {
      context.view.trainee = name_.text();
    }
    return;
  }
  const std::size_t first = context.actions.offered();
  const std::string label =
      trainee_.empty()
          ? "your name, to begin"
          : shortened(theme.body, base::printable(trainee_), 0.5F * area.width()) + " guesses";
  if (context.actions.offer("W", label)) {
    name_.open(U'W', context);
  }
  context.actions.draw_apart(first, area, theme.px(28.0F), theme);
}

void LiveGuess::draw_state(const Rect& area, const Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  const Rect name = rest.take_right(theme.px(210.0F));
  const std::string deaf = deaf_words(context.desk.snapshot(), context.view);
  const bool is_deaf = !deaf.empty() && ear_.phase() == ear::LiveEar::Phase::kWaiting;
  const QuietWords words = is_deaf ? quiet_words(deaf, false) : this->words();
  const bool is_sounding = ear_.phase() == ear::LiveEar::Phase::kSounding && !makes_no_sound_;
  draw_text(theme.title,
            rest.left,
            rest.top,
            is_sounding ? colour::kVermilion : colour::kText,
            words.heading);
  draw_wrapped(
      theme.body, rest.left, rest.top + theme.px(28.0F), rest.width(), colour::kQuiet, words.line);
  offer_name({name.left, name.top, name.right, name.top + theme.px(28.0F)}, context);
}

void LiveGuess::draw(const Rect& area, const Context& context) {
  const Theme& theme = context.theme;
  draw_card(area, theme);
  const GuessPlaces places = guess_places(area.inset(theme.px(kPadding)), theme);
  const FrequencyAxis axis{places.ruler.left, places.ruler.right};
  // Enter that ends some other text of the pane locks nothing.
  const bool was_typing = hand_.is_typing() || name_.is_open() || ImGui::GetIO().WantTextInput;
  draw_state(places.head, context);
  const std::size_t first = context.actions.offered();
  if (!was_typing) {
    offer_round(context);
  }
  RulerView view;
  view.answers = answers_;
  view.is_open = ear_.phase() == ear::LiveEar::Phase::kSounding;
  hand_.draw(places.ruler, axis, ear_.ruler(), view, context);
  hand_.draw_keys(first, places.keys, ear_.ruler(), context);
  if (result_) {
    draw_guess_result(places.result, *result_, false, serial_, context);
  }
}

void LiveGuess::describe(Facts& facts) const {
  static constexpr std::array<const char*, 4> kPhases{"waiting", "sounding", "scored", "unscored"};
  facts.add("phase", std::string(kPhases.at(static_cast<std::size_t>(ear_.phase()))));
  facts.add("title", words().heading);
  facts.add("is_blind", ear_.is_blind());
  facts.add("trainee", trainee_);
  facts.add("guess_hz", ear_.ruler().frequency_hz());
  facts.add("locked", static_cast<double>(ear_.results().size()));
  facts.add("is_kept", serial_ > 0 && book_.kept() >= serial_);
  if (result_) {
    facts.add("true_hz", result_->truth.frequency_hz);
    facts.add("error_cents", result_->score.error_cents);
  }
}

}  // namespace brink::panel
