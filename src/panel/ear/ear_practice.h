#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/background.h"
#include "ear/ear_session.h"
#include "io/book/book.h"
#include "panel/ear/ear_ruler.h"
#include "panel/recording/held_sound.h"

namespace brink::panel {

/// What a trainee asked to practise.
struct PracticeChoice {
  std::string trainee;
  int kind = 0;  ///< of ear::kExerciseKinds; beyond the last: all of them
  bool by_note = false;

  friend bool operator==(const PracticeChoice&, const PracticeChoice&) = default;
};

/// A session of exercises for a window: rendered on a thread of its own, heard, written to a file,
/// guessed, kept. The window's thread.
class EarPractice {
 public:
  /// Keeps guesses in the book at `book_path`, which must be `book`.
  EarPractice(std::string book_path, io::Book& book, std::function<void()> on_news);

  /// A new session, from the trainee's weak bands as the book has them. What was open is given up.
  void begin(const PracticeChoice& choice, const cuts::Target& target);
  /// Takes what is ready; call it once a pass.
  void update();

  /// Nothing while an exercise is being rendered, or before begin().
  [[nodiscard]] ear::EarSession* session() noexcept { return session_.get(); }

  [[nodiscard]] const ear::EarSession* session() const noexcept { return session_.get(); }

  [[nodiscard]] bool is_rendering() const noexcept { return rendering_.is_busy(); }

  [[nodiscard]] const PracticeChoice& choice() const noexcept { return choice_; }

  /// The target on which guessed cuts are set.
  [[nodiscard]] const std::string& target_name() const noexcept { return target_.name; }

  [[nodiscard]] HeldSound& sound() noexcept { return sound_; }

  [[nodiscard]] const HeldSound& sound() const noexcept { return sound_; }

  /// The exercise was heard or written to a file, so it can be guessed.
  [[nodiscard]] bool is_open() const noexcept;

  void lock();
  void give_up();
  void next();
  /// As a WAV file beside the book, so that it can be heard by other means.
  void write_file();

  /// Where write_file() put it, or why it could not; empty before.
  [[nodiscard]] const std::string& file_words() const noexcept { return file_words_; }

  [[nodiscard]] const std::string& file_path() const noexcept { return file_path_; }

  /// Of the present exercise, in the order of the locks.
  [[nodiscard]] const std::vector<RulerAnswer>& answers() const noexcept { return answers_; }

  [[nodiscard]] const std::optional<ear::GuessResult>& result() const noexcept { return result_; }

  /// Of the newest guess in the book; 0: none yet.
  [[nodiscard]] std::uint64_t serial() const noexcept { return serial_; }

  /// Why there is no session, one sentence.
  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

 private:
  using Rendered = std::unique_ptr<ear::EarSession>;

  void render(std::function<Rendered()> work);
  void begin_due();

  std::string book_path_;
  io::Book& book_;
  std::function<void()> on_news_;
  PracticeChoice choice_;
  cuts::Target target_;
  bool is_begin_due_ = false;
  Rendered session_;
  base::Background<Rendered> rendering_;
  base::Background<std::string> writing_;
  HeldSound sound_;
  std::vector<RulerAnswer> answers_;
  std::optional<ear::GuessResult> result_;
  std::uint64_t serial_ = 0;
  std::string file_path_;
  std::string file_words_;
  std::string fault_;
};

}  // namespace brink::panel
