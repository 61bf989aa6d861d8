#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/target.h"
#include "ear/exercise.h"
#include "ear/guess_result.h"
#include "ear/ruler.h"
#include "ear/staircase.h"
#include "show/guess_record.h"

namespace brink::ear {

struct EarConfig {
  std::string trainee;
  std::uint64_t seed = 1;
  /// Each exercise is of one of these kinds, all equally likely.
  std::vector<ExerciseKind> kinds{ExerciseKind::kPure};
  bool by_note = false;
  /// If set, there is no staircase: one level for everybody in a class.
  std::optional<int> fixed_level;
  cuts::Target target;
};

/// A trainee's practice on the simulated stage, one exercise after another. It has no window, no
/// sound output and no clock: the caller gives the time, in seconds of any one clock.
///
/// Repeatable: the same config and the same past give the same frequencies and rooms, whatever is
/// guessed. Only the level follows the guesses. The weak bands (band_choice.h) are those of the
/// past when the session began. One thread at a time. [any]
class EarSession {
 public:
  enum class Phase : std::uint8_t {
    kReady,     ///< the exercise is ready, and nobody has heard it
    kSounding,  ///< it can be guessed
    kScored,    ///< every ring of it has a guess
    kUnscored,  ///< it was given up
  };

  using Render = std::function<Exercise(const ExercisePlan&)>;

  /// Renders the first exercise. `past`: the book's guesses of all trainees, oldest first. `keep`
  /// is called at each lock. Throws base::Error when there is no kind, no trainee or a bad target.
  EarSession(EarConfig config,
             std::span<const show::GuessRecord> past,
             KeepGuess keep,
             Render render = render_exercise);

  [[nodiscard]] Phase phase() const noexcept { return phase_; }

  [[nodiscard]] const EarConfig& config() const noexcept { return config_; }

  [[nodiscard]] const Exercise& exercise() const noexcept { return exercise_; }

  /// Number of the present exercise, from 1.
  [[nodiscard]] int number() const noexcept { return number_; }

  [[nodiscard]] Ruler& ruler() noexcept { return ruler_; }

  [[nodiscard]] const Ruler& ruler() const noexcept { return ruler_; }

  /// Guesses that are still missing in this exercise; 2 before the first of two rings.
  [[nodiscard]] int guesses_left() const noexcept { return static_cast<int>(open_.size()); }

  /// Call it when the sound is first heard. Only the first call of an exercise counts, so the clock
  /// does not start again when the sound is repeated.
  void start(double now_s) noexcept;

  /// Locks the ruler's guess. The guess is scored against the nearest ring that has none yet, and
  /// kept. It cannot be taken back. Nothing when there is nothing to guess. `wall`: the time of
  /// day.
  std::optional<GuessResult> lock(double now_s, std::chrono::system_clock::time_point wall);

  /// Gives the exercise up. Rings without a guess are unscored, never wrong.
  void give_up() noexcept;

  /// Renders the next exercise. Gives up the present one if it is open.
  void next();

  /// Guesses locked in this session, oldest first.
  [[nodiscard]] const std::vector<GuessResult>& results() const noexcept { return results_; }

  /// The level that an exercise of this kind would have now.
  [[nodiscard]] int level(ExerciseKind kind) const noexcept;

 private:
  void prepare();
  [[nodiscard]] GuessResult score(std::size_t truth_index,
                                  double now_s,
                                  std::chrono::system_clock::time_point wall) const;

  EarConfig config_;
  KeepGuess keep_;
  Render render_;
  std::array<double, kEarBandCount> shares_;
  std::vector<Staircase> staircases_;  ///< one for each of kExerciseKinds
  Exercise exercise_;
  int number_ = 0;
  Phase phase_ = Phase::kReady;
  double started_s_ = 0.0;
  std::vector<std::size_t> open_;  ///< rings without a guess, as indices of exercise_.truths
  bool all_right_ = true;          ///< whether all guesses of this exercise so far are right
  Ruler ruler_;
  std::vector<GuessResult> results_;
};

}  // namespace brink::ear
