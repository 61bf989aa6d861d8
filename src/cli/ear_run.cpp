#include "cli/ear_run.h"

#include <fmt/format.h>

#include <chrono>
#include <filesystem>
#include <memory>
#include <random>
#include <thread>

#include "base/error.h"
#include "base/printable.h"
#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/line_input.h"
#include "cli/output.h"
#include "cli/standard_streams.h"
#include "desk/target_library.h"
#include "ear/ear_session.h"
#include "ear/progress.h"
#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "io/live/play_memory.h"
#include "io/live/player.h"
#include "io/paths.h"
#include "io/whole_sound.h"
#include "show/kept_target.h"

namespace brink::cli {
namespace {

using base::Error;
using Clock = std::chrono::steady_clock;

std::vector<ear::ExerciseKind> kinds_of(const std::vector<std::string>& words) {
  std::vector<ear::ExerciseKind> kinds;
  for (const std::string& word : words) {
    const auto kind = ear::find_exercise(word);
    if (word == "all") {
      kinds.assign(ear::kExerciseKinds.begin(), ear::kExerciseKinds.end());
    } else if (kind) {
      kinds.push_back(*kind);
    } else {
      throw Error(
          fmt::format("--exercise takes pure, voice, music, growing, two, noise or all, not '{}'.",
                      base::printable(word)));
    }
  }
  return kinds;
}

ear::EarConfig config_for(const EarOptions& options) {
  ear::EarConfig config;
  config.trainee = options.trainee;
  std::random_device device;
  config.seed = options.seed.value_or(device());
  config.kinds = kinds_of(options.exercises);
  config.by_note = options.by_note;
  config.fixed_level = options.difficulty;
  config.target = desk::load_target(options.target);
  return config;
}

std::string book_path(const EarOptions& options) {
  return options.book.empty() ? io::default_book_path() : options.book;
}

std::vector<show::GuessRecord> past_guesses(const EarOptions& options) {
  return options.is_bookless ? std::vector<show::GuessRecord>{}
                             : io::BookReader(book_path(options)).guesses(options.trainee);
}

double now_s() {
  return std::chrono::duration<double>(Clock::now().time_since_epoch()).count();
}

class EarRun {
 public:
  explicit EarRun(const EarOptions& options)
      : options_(options),
        book_(options.is_bookless ? nullptr : std::make_unique<io::Book>(book_path(options))),
        session_(config_for(options), past_guesses(options), [this](const auto& guess) {
          keep(guess);
        }) {}

  int run();

 private:
  enum class Next { kAsk, kExercise, kEnd };

  void greet() const;
  void prepare_silent() const;
  void present();
  void write_file() const;
  void look_after_sound();
  void wait_for_sound();
  [[nodiscard]] Next obey(const std::string& line);
  [[nodiscard]] Next lock(const std::string& line);
  [[nodiscard]] Next ask();
  void keep(const show::GuessRecord& guess);
  /// False when something could not be kept.
  [[nodiscard]] bool close_book();
  void sum_up() const;

  [[nodiscard]] bool is_silent() const { return !options_.silent.empty(); }

  const EarOptions& options_;
  std::unique_ptr<io::Book> book_;
  std::uint64_t last_kept_ = 0;  // serial of the newest guess
  ear::EarSession session_;
  std::unique_ptr<io::Player> player_;
  LineInput input_;
  Output output_{std::string()};
};

void EarRun::greet() const {
  say(fmt::format("seed {}: the same seed gives the same frequencies again.",
                  session_.config().seed));
  say("turn the headphones down first: by the exposure guide of NIOSH 85 dBA may be heard for 8 "
      "hours a day, and half as long for every 3 dB more; local rules and qualified people come "
      "first.");
  if (!is_silent()) {
    say(fmt::format("the sound begins silent, rises in {:g} s and never passes {:g} dBFS.",
                    io::kPlayRampUpS,
                    io::kPlayCeilingDbfs));
  }
  say("type a frequency (2500, 2.5k) or a note (A4); Enter hears it again, s skips, q ends.");
}

void EarRun::prepare_silent() const {
  std::error_code error;
  std::filesystem::create_directories(io::to_path(options_.silent), error);
  if (!std::filesystem::is_directory(io::to_path(options_.silent), error)) {
    throw Error(fmt::format("{}: this is no directory, and none can be made there for --silent.",
                            base::printable(options_.silent)));
  }
}

std::string file_name(const std::string& directory, int number) {
  return (io::to_path(directory) / fmt::format("exercise-{:02}.wav", number)).string();
}

void EarRun::write_file() const {
  const std::string path = file_name(options_.silent, session_.number());
  std::error_code error;
  if (std::filesystem::exists(io::to_path(path), error)) {
    throw Error(fmt::format("{}: there is such a file already; choose another directory.",
                            base::printable(path)));
  }
  const ear::Exercise& exercise = session_.exercise();
  io::WholeFile file(path);
  io::write_sound(file, exercise.sample_rate_hz, exercise.samples);
  file.commit();
  say(fmt::format("{}: is there.", base::printable(path)));
}

void EarRun::present() {
  const ear::Exercise& exercise = session_.exercise();
  if (is_silent()) {
    write_file();
    session_.start(now_s());
  } else {
    player_ = std::make_unique<io::Player>(exercise.sample_rate_hz, exercise.samples);
    player_->set_level_db(options_.level_db);
    player_->play();
  }
  say(fmt::format("exercise {} of {}, {}, difficulty {}: where {}?",
                  session_.number(),
                  options_.count,
                  to_word(exercise.plan.kind),
                  exercise.plan.level,
                  exercise.truths.size() == 2 ? "are the two, one after the other" : "is it"));
}

/// The clock starts with the first sound; a device that cannot play ends the session.
void EarRun::look_after_sound() {
  if (!player_) {
    return;
  }
  if (player_->state() == io::Player::State::kFailed) {
    throw Error(player_->why() + " With --silent DIR exercises are written as files instead.");
  }
  if (player_->position() > 0) {
    session_.start(now_s());
  }
}

/// Guesses may have come to their end before the device answered; that it cannot play is said all
/// the same.
void EarRun::wait_for_sound() {
  constexpr auto kPatience = std::chrono::seconds(5);
  const auto end = Clock::now() + kPatience;
  while (player_ && player_->position() == 0 && interrupt_signal() == 0 && Clock::now() < end) {
    look_after_sound();
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
}

EarRun::Next EarRun::lock(const std::string& line) {
  const auto guess_hz = ear::parse_guess(line);
  if (!guess_hz) {
    const std::string sentence =
        fmt::format("'{}' is no frequency from {:g} Hz to {:g} kHz (2500, 2.5k) and no note (A4).",
                    base::printable(line),
                    ear::Ruler::kLowHz,
                    ear::Ruler::kHighHz / 1000.0);
    if (is_terminal(io::kStdin)) {
      say(sentence);
      return Next::kAsk;
    }
    throw Error(fmt::format("line {}: {}", input_.count(), sentence));
  }
  if (session_.phase() == ear::EarSession::Phase::kReady) {
    say("nothing has sounded yet; wait for it.");
    return Next::kAsk;
  }
  session_.ruler().place(*guess_hz);
  const auto result = session_.lock(now_s(), std::chrono::system_clock::now());
  if (!result) {
    return Next::kExercise;
  }
  const bool is_read =
      output_.write(options_.format == "json" ? ear::guess_json(*result)
                                              : ear::guess_text(*result, options_.by_note) + '\n');
  if (!is_read) {
    return Next::kEnd;
  }
  return session_.guesses_left() > 0 ? Next::kAsk : Next::kExercise;
}

EarRun::Next EarRun::obey(const std::string& line) {
  if (line == "q") {
    return Next::kEnd;
  }
  if (line == "s") {
    session_.give_up();
    return Next::kExercise;
  }
  if (line.empty()) {
    if (player_) {
      player_->play();
    }
    return Next::kAsk;
  }
  return lock(line);
}

EarRun::Next EarRun::ask() {
  constexpr int kLookMs = 50;
  Next next = Next::kAsk;
  std::string line;
  while (next == Next::kAsk) {
    look_after_sound();
    if (interrupt_signal() != 0) {
      return Next::kEnd;
    }
    switch (input_.next(line, kLookMs)) {
      case LineInput::Outcome::kLine:
        next = obey(line);
        break;
      case LineInput::Outcome::kEnd:
        wait_for_sound();
        return Next::kEnd;
      case LineInput::Outcome::kNothingYet:
        break;
    }
  }
  return next;
}

/// On the disk before its answer is told, so that nothing that was told can be lost; where the disk
/// is at fault it waits, and the end of the session says so.
void EarRun::keep(const show::GuessRecord& guess) {
  constexpr double kPatienceS = 2.0;
  if (book_) {
    last_kept_ = book_->keep(guess);
    (void)book_->wait_for(last_kept_, kPatienceS);
  }
}

bool EarRun::close_book() {
  constexpr double kPatienceS = 2.0;
  if (!book_ || book_->wait_for(last_kept_, kPatienceS)) {
    return true;
  }
  const std::size_t count = book_->waiting();
  say(fmt::format("{} guess{} could not be kept. {}",
                  count,
                  count == 1 ? "" : "es",
                  book_->trouble().value_or("The book does not answer.")));
  return false;
}

void EarRun::sum_up() const {
  std::vector<show::GuessRecord> guesses;
  for (const ear::GuessResult& result : session_.results()) {
    guesses.push_back(result.record);
  }
  const ear::EarProgress progress = ear::progress_of(guesses, options_.trainee);
  if (progress.all.count == 0) {
    say("no guess was locked.");
    return;
  }
  say(
      fmt::format("{} guess{}, {:.0f} % within a third-octave; median error {:.0f} cents, median "
                  "time {:.1f} s.",
                  progress.all.count,
                  progress.all.count == 1 ? "" : "es",
                  100.0 * progress.all.hit_share,
                  progress.all.median_error_cents,
                  progress.all.median_took_s));
}

int EarRun::run() {
  if (is_silent()) {
    prepare_silent();
  }
  catch_interrupts();
  greet();
  Next next = Next::kExercise;
  while (next == Next::kExercise) {
    present();
    next = ask();
    player_.reset();  // ramps down and closes
    if (session_.number() == options_.count) {
      break;
    }
    if (next == Next::kExercise) {
      session_.next();
    }
  }
  output_.finish();
  sum_up();
  if (!close_book()) {
    return kBadInput;
  }
  return interrupt_signal() == 0 ? kDone : 128 + interrupt_signal();
}

}  // namespace

int run_ear(const EarOptions& options) {
  return EarRun(options).run();
}

}  // namespace brink::cli
