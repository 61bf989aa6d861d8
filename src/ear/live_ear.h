#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "cuts/target.h"
#include "detector/ring.h"
#include "ear/guess_result.h"
#include "ear/ruler.h"
#include "show/session_event.h"

namespace brink::ear {

/// Whether a ring's frequency is sure enough to score a guess against: three of its standard
/// deviations within the step of hearing, 1 Hz below 500 Hz and 0.2 % above.
[[nodiscard]] bool has_sure_frequency(const detector::Ring& ring) noexcept;

/// Blind guessing at the rings of a live system: the faces hide every frequency while it is blind,
/// the detector goes on. A round opens when a ring is flagged, and ends with the lock or with the
/// ring. Time is told to it in seconds of any one clock. One thread at a time. [any]
class LiveEar {
 public:
  enum class Phase : std::uint8_t {
    kWaiting,   ///< nothing rings
    kSounding,  ///< something rings: guess
    kScored,
    kUnscored,  ///< see why(); never counted as wrong
  };

  enum class Reason : std::uint8_t {
    kNone,
    kGone,    ///< the ring, or the input, went before the lock
    kUnsure,  ///< the ring's frequency was not sure
    kSeen,    ///< frequencies were shown while it rang
  };

  /// `keep` is called at each scored lock. Throws base::Error without a trainee or on a bad target.
  LiveEar(std::string trainee, cuts::Target target, KeepGuess keep);

  /// Whose guesses these are from now on, and what their cuts are set on. Throw as the constructor.
  void set_trainee(std::string trainee);
  void set_target(cuts::Target target);

  /// Every event of the session, whether blind or not.
  void on_event(const show::SessionEvent& event, double now_s);

  /// Hides or shows. Showing while a ring sounds spoils the round: a guess then is unscored.
  void set_blind(bool is_blind) noexcept;

  [[nodiscard]] bool is_blind() const noexcept { return is_blind_; }

  [[nodiscard]] Phase phase() const noexcept { return phase_; }

  [[nodiscard]] Reason why() const noexcept { return reason_; }

  [[nodiscard]] Ruler& ruler() noexcept { return ruler_; }

  [[nodiscard]] const Ruler& ruler() const noexcept { return ruler_; }

  /// Locks the guess. Of several rings that sound it is scored against the nearest sure one.
  /// Nothing when nothing rings or it cannot be scored; phase() and why() then say so.
  std::optional<GuessResult> lock(double now_s, std::chrono::system_clock::time_point wall);

  /// On to the next round; a ring that still sounds opens it only if it has not been guessed.
  void next(double now_s);

  [[nodiscard]] const std::vector<GuessResult>& results() const noexcept { return results_; }

 private:
  struct Sounding {
    int tap = 0;
    detector::Ring ring;
    double flagged_s = 0.0;
    bool is_spent = false;  ///< guessed at, or shown
  };

  void open_if_any() noexcept;
  void end_round(Phase phase, Reason reason) noexcept;
  void hear(const show::SessionEvent& event, double now_s);
  [[nodiscard]] bool is_anything_open() const noexcept;
  [[nodiscard]] GuessResult score(const Sounding& sounding,
                                  double now_s,
                                  std::chrono::system_clock::time_point wall) const;

  std::string trainee_;
  cuts::Target target_;
  KeepGuess keep_;
  bool is_blind_ = false;
  Phase phase_ = Phase::kWaiting;
  Reason reason_ = Reason::kNone;
  std::vector<Sounding> sounding_;
  Ruler ruler_;
  std::vector<GuessResult> results_;
};

}  // namespace brink::ear
