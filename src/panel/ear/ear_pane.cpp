#include "panel/ear/ear_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/printable.h"
#include "panel/draw/draw.h"
#include "panel/draw/first_step.h"
#include "panel/draw/key_row.h"
#include "panel/ear/guess_result.h"

namespace brink::panel {
namespace {

using Phase = ear::EarSession::Phase;

constexpr float kSideWidth = 392.0F;
constexpr float kPadding = 18.0F;
constexpr float kSettingsHeight = 262.0F;
constexpr float kSoundHeight = 148.0F;

/// In the order of ear::kExerciseKinds, all of them last.
constexpr std::array<const char*, 7> kKindWords{"one ring alone",
                                                "a ring under a voice",
                                                "a ring under music",
                                                "a ring that grows",
                                                "two rings at once",
                                                "a band of pink noise",
                                                "all kinds, mixed"};

const char* question_for(ear::ExerciseKind kind, int left) {
  switch (kind) {
    case ear::ExerciseKind::kGrowing:
      return "Name it before it is loud; time counts.";
    case ear::ExerciseKind::kTwo:
      return left == 2 ? "Where is one of the two?" : "And where is the other?";
    case ear::ExerciseKind::kNoise:
      return "Flat at first, then one band is lifted: which?";
    default:
      return "Where does it ring?";
  }
}

}  // namespace

EarPane::EarPane(const std::string& book_path, io::Book& book, const std::function<void()>& on_news)
    : book_(book), practice_(book_path, book, on_news), progress_(book_path, book, on_news) {}

void EarPane::begin(Context& context) {
  const PracticeChoice choice{context.view.trainee, kind_, by_note_};
  const cuts::Target& target = context.desk.target();
  const bool is_other = choice != practice_.choice() || target.name != practice_.target_name();
  if (!choice.trainee.empty() && is_other) {
    practice_.begin(choice, target);
  }
}

void EarPane::follow(Context& context) {
  progress_.follow(shows_progress_, context);
  practice_.update();
  const bool is_shown = context.view.pane == PaneId::kEar && context.view.overlay == Overlay::kNone;
  const bool is_held = is_shown && !shows_progress_ && context.input.has_focus &&
                       context.input.is_space_held && !hand_.is_typing() && !name_.is_open();
  practice_.sound().hold(is_held, context.input.at_space_release);
}

void EarPane::offer_round(Context& context) {
  Actions& actions = context.actions;
  const ear::EarSession* const session = practice_.session();
  if (session == nullptr) {
    return;
  }
  const bool is_over = session->phase() == Phase::kScored || session->phase() == Phase::kUnscored;
  if (practice_.is_open() && actions.offer(Key::kEnter, "Enter", "lock the guess")) {
    practice_.lock();
  } else if (is_over && actions.offer(Key::kEnter, "Enter", "next exercise")) {
    practice_.next();
  }
  if (!is_over && actions.offer("S", "skip it, unscored")) {
    practice_.give_up();
  }
}

void EarPane::draw_head(const Rect& area, const Context& context) const {
  const Theme& theme = context.theme;
  const ear::EarSession* const session = practice_.session();
  std::string title = "The exercise is being made ...";
  std::string more;
  ImU32 paint = colour::kText;
  if (context.view.trainee.empty()) {
    title = "Who practises?";
    more = "N: type your name. Guesses are kept under it, on this machine alone.";
  } else if (!practice_.fault().empty()) {
    title = "No exercise";
    more = practice_.fault();
    paint = colour::kOrange;
  } else if (session != nullptr) {
    const ear::ExercisePlan& plan = session->exercise().plan;
    title = fmt::format(
        "Exercise {}: {}", session->number(), kKindWords.at(static_cast<std::size_t>(plan.kind)));
    more = question_for(plan.kind, session->guesses_left());
    if (session->phase() == Phase::kReady) {
      const std::string& fault = practice_.sound().fault();
      more = fault.empty()
                 ? "Headphones down first. Hold Space to hear it; let go, and it is silent."
                 : fault + " W writes it to a file, to be played by other means.";
      paint = fault.empty() ? colour::kText : colour::kOrange;
    } else if (session->phase() == Phase::kUnscored) {
      more = "Given up: not scored, never wrong.";
    } else if (session->phase() == Phase::kScored) {
      more = "Scored. Space lets you hear it again.";
    }
  }
  draw_text(theme.title, area.left, area.top, colour::kText, title);
  draw_wrapped(theme.body, area.left, area.top + theme.px(29.0F), area.width(), paint, more);
}

std::string EarPane::level_words() const {
  const ear::EarSession* const session = practice_.session();
  if (session == nullptr) {
    return "";
  }
  const int level = session->exercise().plan.level;
  return fmt::format("{} of {}: within {:g} cents",
                     level,
                     ear::kHighestLevel,
                     std::round(ear::difficulty_at(level).tolerance_cents));
}

void EarPane::draw_name(Rect& rows, Context& context) {
  const Theme& theme = context.theme;
  if (name_.is_open()) {
    Rect row = rows.take_top(theme.px(27.0F));
    draw_text(theme.body, row.left, row.top + theme.px(4.0F), colour::kText, "Name");
    row.take_left(theme.px(60.0F));
    if (name_.draw(row, context) && !name_.text().empty()) {
      context.view.trainee = name_.text();
    }
    return;
  }
  const std::string& trainee = context.view.trainee;
  const std::string shown = trainee.empty() ? "not said yet" : base::printable(trainee);
  if (draw_key_row(rows, context.actions, 'N', "trainee", shown, theme)) {
    name_.open(U'N', context);
  }
}

void EarPane::draw_settings(Rect area, Context& context) {
  const Theme& theme = context.theme;
  const Actions& actions = context.actions;
  draw_card(area, theme);
  Rect rows = area.inset(theme.px(14.0F));
  draw_name(rows, context);
  if (draw_key_row(
          rows, actions, 'K', "kind", kKindWords.at(static_cast<std::size_t>(kind_)), theme)) {
    kind_ = (kind_ + 1) % static_cast<int>(kKindWords.size());
  }
  if (draw_key_row(
          rows, actions, 'M', "named", by_note_ ? "by piano note" : "by frequency", theme)) {
    by_note_ = !by_note_;
  }
  draw_key_row(rows, actions, 0, "difficulty", level_words(), theme);
  draw_key_row(rows, actions, 0, "cuts on", base::printable(context.desk.target().name), theme);
  const ear::EarSession* const session = practice_.session();
  const bool can_write = session != nullptr && practice_.file_path().empty();
  if (can_write && draw_key_row(rows, actions, 'W', "write it to a file", "WAV", theme)) {
    practice_.write_file();
  }
  if (draw_key_row(rows, actions, 'B', "blind at what rings live", "", theme)) {
    blind_fault_ =
        context.desk.is_stage()
            ? "The simulated stage makes no sound to guess by: choose an input (I) first."
            : "";
    if (blind_fault_.empty()) {
      context.view.pane = PaneId::kListen;
      context.view.hides_answers = true;
    }
  }
  if (!blind_fault_.empty() && context.desk.is_stage()) {
    const Rect line = rows.take_top(theme.px(36.0F));
    draw_wrapped(theme.small, line.left, line.top, line.width(), colour::kOrange, blind_fault_);
  }
  if (!practice_.file_words().empty()) {
    draw_wrapped(theme.small,
                 rows.left,
                 rows.top + theme.px(2.0F),
                 rows.width(),
                 practice_.file_path().empty() ? colour::kOrange : colour::kText,
                 practice_.file_words());
  }
}

void EarPane::draw_sound(Rect area, Context& context) {
  const Theme& theme = context.theme;
  HeldSound& sound = practice_.sound();
  const int up =
      context.actions.count_presses(Key::kUp) - context.actions.count_presses(Key::kDown);
  if (up != 0) {
    sound.step_level(up);
  }
  context.actions.show("\u2191\u2193", "how loud");
  draw_card(area, theme);
  Rect inner = area.inset(theme.px(14.0F));
  draw_sound_level(inner, sound, theme);
  draw_wrapped(theme.small,
               inner.left,
               inner.top,
               inner.width(),
               colour::kQuiet,
               "Sounds only while Space is held: rises from silence, is limited, and stops when "
               "this window is left. How loud it is at your ears, brink cannot know: E shows how "
               "long at which level.");
}

void EarPane::draw_session(const Rect& area, const Context& context) const {
  const Theme& theme = context.theme;
  const ear::EarSession* const session = practice_.session();
  if (session == nullptr || session->results().empty() || area.height() < theme.px(60.0F)) {
    return;
  }
  draw_card(area, theme);
  Rect rest = area.inset(theme.px(14.0F));
  const auto& results = session->results();
  const auto hits = std::count_if(
      results.begin(), results.end(), [](const ear::GuessResult& one) { return one.score.is_hit; });
  const Rect head = rest.take_top(theme.px(26.0F));
  draw_text(theme.strong, head.left, head.top, colour::kText, "This session");
  draw_text(theme.body,
            head.right,
            head.top,
            colour::kQuiet,
            fmt::format("{} of {} within a third-octave", hits, results.size()),
            Align::kRight);
  for (auto one = results.rbegin(); one != results.rend() && rest.height() > theme.px(24.0F);
       ++one) {
    const Rect row = rest.take_top(theme.px(24.0F));
    draw_text(theme.body,
              row.left,
              row.top,
              one->is_right ? colour::kSky : colour::kOrange,
              ear::verdict(*one));
    draw_text(theme.body,
              row.right,
              row.top,
              colour::kText,
              fmt::format("{:+.0f} cents, {:.1f} s", one->score.error_cents, one->record.took_s),
              Align::kRight);
  }
}

void EarPane::draw_practice(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  draw_card(area, theme);
  const GuessPlaces places = guess_places(area.inset(theme.px(kPadding)), theme);
  draw_head(places.head, context);
  ear::EarSession* const session = practice_.session();
  if (context.view.trainee.empty()) {
    Rect rest = places.ruler;
    draw_first_step(rest, "N", "types your name. Then Space, held, sounds.", rest.height(), theme);
  }
  if (session == nullptr) {
    return;
  }
  const bool is_typing = hand_.is_typing() || name_.is_open();
  const std::size_t first = context.actions.offered();
  if (!is_typing) {
    offer_round(context);
  }
  if (practice_.session() == nullptr) {
    return;  // the next one is being made
  }
  RulerView view;
  view.answers = practice_.answers();
  view.by_note = practice_.choice().by_note;
  view.is_open = practice_.is_open();
  hand_.draw(
      places.ruler, {places.ruler.left, places.ruler.right}, session->ruler(), view, context);
  hand_.draw_keys(first, places.keys, session->ruler(), context);
  if (practice_.result()) {
    draw_guess_result(
        places.result, *practice_.result(), view.by_note, practice_.serial(), context);
  }
}

void EarPane::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  if (context.actions.offer("P", shows_progress_ ? "back to practice" : "progress")) {
    shows_progress_ = !shows_progress_;
  }
  if (shows_progress_) {
    progress_.draw(area, context);
    return;
  }
  begin(context);
  context.actions.show("Space", "held: hear it");
  Rect rest = area;
  Rect side = rest.take_right(std::min(theme.px(kSideWidth), 0.42F * area.width()));
  rest.take_right(theme.px(12.0F));
  draw_settings(side.take_top(theme.px(kSettingsHeight)), context);
  side.take_top(theme.px(8.0F));
  draw_sound(side.take_top(theme.px(kSoundHeight)), context);
  side.take_top(theme.px(8.0F));
  draw_session(side, context);
  draw_practice(rest, context);
}

void EarPane::describe(Facts& facts) const {
  static constexpr std::array<const char*, 4> kPhases{"ready", "sounding", "scored", "unscored"};
  const ear::EarSession* const session = practice_.session();
  facts.add("is_rendering", practice_.is_rendering());
  facts.add("trainee", practice_.choice().trainee);
  facts.add("cuts_on", practice_.target_name());
  facts.add("kind", std::string(kKindWords.at(static_cast<std::size_t>(kind_))));
  facts.add("by_note", by_note_);
  facts.add("shows_progress", shows_progress_);
  progress_.describe(facts);
  facts.add("level_db", practice_.sound().level_db());
  facts.add("sound_fault", practice_.sound().fault());
  facts.add("is_playing", practice_.sound().is_playing());
  facts.add("file", practice_.file_path());
  facts.add("phase",
            session == nullptr
                ? std::string("none")
                : std::string(kPhases.at(static_cast<std::size_t>(session->phase()))));
  if (session != nullptr) {
    facts.add("number", static_cast<double>(session->number()));
    facts.add("guess_hz", session->ruler().frequency_hz());
    facts.add("locked", static_cast<double>(session->results().size()));
  }
  facts.add("blind_fault", blind_fault_);
  facts.add("is_kept", practice_.serial() > 0 && book_.kept() >= practice_.serial());
  if (practice_.result()) {
    facts.add("true_hz", practice_.result()->truth.frequency_hz);
    facts.add("error_cents", practice_.result()->score.error_cents);
  }
}

}  // namespace brink::panel
