#pragma once

#include <functional>
#include <optional>
#include <string>

#include "ear/score.h"
#include "show/guess_record.h"

namespace brink::ear {

/// Called with each guess when it is locked; the book keeps it. May be empty.
using KeepGuess = std::function<void(const show::GuessRecord&)>;

/// A locked guess with its score.
struct GuessResult {
  show::GuessRecord record;
  EarTruth truth;
  GuessScore score;
  double tolerance_cents = 0.0;  ///< of the level; 0 for a guess at a live ring
  bool is_in_time = true;        ///< false: the ring was loud before the guess
  bool is_right = false;         ///< in time, and within the tolerance or the step of hearing
};

/// "right"; "near enough" when its level accepts it although it is more than a third-octave away;
/// else "not yet".
[[nodiscard]] const char* verdict(const GuessResult& result) noexcept;

/// One line for people, without a line break. It says where the ring was, how far the guess is from
/// it and on which side, and what the guess's cut would have done. It says so when an error is
/// finer than hearing. `by_note`: in semitones.
[[nodiscard]] std::string guess_text(const GuessResult& result, bool by_note);

/// The same as one JSON object on one line, schema "brink/ear/1", line break included.
[[nodiscard]] std::string guess_json(const GuessResult& result);

}  // namespace brink::ear
