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
#include "show/live_rings.h"

namespace brink::ear {

/// Whether a ring's frequency is sure enough to score a guess against it. Three of its standard
/// deviations must be within a step of hearing. So the deviation is at most 1 Hz below 500 Hz, and
/// 0.2 % above.
[[nodiscard]] bool has_sure_frequency(const detector::Ring& ring) noexcept;

/// Blind guessing at the rings of a live system. While it is blind, window and terminal hide every
/// frequency, and the detector continues. A round opens when a ring is flagged. It ends with the
/// lock or with the ring. The caller gives the time, in seconds of any one clock. One thread at a
/// time. [any]
class LiveEar {
 public:
  enum class Phase : std::uint8_t {
    kWaiting,   ///< nothing rings that can be guessed
    kSounding,  ///< something rings: guess
    kScored,
    kUnscored,  ///< see why(); never counted as wrong
  };

  enum class Reason : std::uint8_t {
    kNone,
    kGone,    ///< the ring or the input ended before the lock
    kUnsure,  ///< the ring's frequency was not sure
    kSeen,    ///< frequencies were shown while it rang
  };

  /// `keep` is called at each scored lock. Throws base::Error when there is no trainee or a bad
  /// target.
  LiveEar(std::string trainee, cuts::Target target, KeepGuess keep);

  /// Changes the trainee or the target for the guesses that follow. Throws as the constructor does.
  void set_trainee(std::string trainee);
  void set_target(cuts::Target target);

  /// Looks at what rings now, blind or not: after each change of the list.
  void follow(const show::LiveRings& rings, double now_s);

  /// Hides or shows the frequencies. If they are shown while a ring sounds, a guess in this round
  /// is unscored.
  void set_blind(bool is_blind) noexcept;

  [[nodiscard]] bool is_blind() const noexcept { return is_blind_; }

  /// A ring sounds, whether it can still be guessed or not.
  [[nodiscard]] bool is_sounding() const noexcept { return !certain_.empty(); }

  [[nodiscard]] Phase phase() const noexcept { return phase_; }

  [[nodiscard]] Reason why() const noexcept { return reason_; }

  [[nodiscard]] Ruler& ruler() noexcept { return ruler_; }

  [[nodiscard]] const Ruler& ruler() const noexcept { return ruler_; }

  /// A ring sounds that was neither guessed nor shown.
  [[nodiscard]] bool is_anything_open() const noexcept;

  /// Locks the guess. If several rings sound, it is scored against the nearest ring with a sure
  /// frequency. `rings`: as last followed. Nothing when nothing rings or the guess cannot be
  /// scored; phase() and why() then say so.
  std::optional<GuessResult> lock(const show::LiveRings& rings,
                                  double now_s,
                                  std::chrono::system_clock::time_point wall);

  /// Starts the next round. A ring that still sounds opens it only if it has not been guessed.
  void next(double now_s);

  [[nodiscard]] const std::vector<GuessResult>& results() const noexcept { return results_; }

 private:
  /// What guessing has to know of a certain ring that sounds; the list has the rest.
  struct Certain {
    std::uint64_t ring = 0;  ///< LiveRing::id
    double flagged_s = 0.0;
    bool is_spent = false;  ///< it was guessed, or its frequency was shown
  };

  void open_if_any() noexcept;
  void end_round(Phase phase, Reason reason) noexcept;
  [[nodiscard]] GuessResult score(const detector::Ring& ring,
                                  double took_s,
                                  std::chrono::system_clock::time_point wall) const;

  std::string trainee_;
  cuts::Target target_;
  KeepGuess keep_;
  bool is_blind_ = false;
  Phase phase_ = Phase::kWaiting;
  Reason reason_ = Reason::kNone;
  std::vector<Certain> certain_;
  Ruler ruler_;
  std::vector<GuessResult> results_;
};

}  // namespace brink::ear
