#pragma once

#include <functional>
#include <optional>
#include <string>

#include "ear/score.h"
#include "show/guess_record.h"

namespace brink::ear {

/// Where locked guesses go, one by one, at the moment of the lock: the book. May be empty.
using KeepGuess = std::function<void(const show::GuessRecord&)>;

/// A locked guess with its score.
struct GuessResult {
  show::GuessRecord record;
  EarTruth truth;
  GuessScore score;
  double tolerance_cents = 0.0;  ///< of the level; 0 when live
  bool is_in_time = true;        ///< false: the ring was loud before it was named
  bool is_right = false;         ///< within the tolerance, or within hearing, and in time
};

/// "right"; "near enough" for what its level lets pass although it lies beyond a third-octave; else
/// "not yet".
[[nodiscard]] const char* verdict(const GuessResult& result) noexcept;

/// One line for people, without its end: where it was, how far off the guess is and on which side,
/// and what its cut would have done. Errors finer than hearing are said as such. `by_note`: in
/// semitones.
[[nodiscard]] std::string guess_text(const GuessResult& result, bool by_note);

/// The same as one JSON object on one line, schema "brink/ear/1", newline included.
[[nodiscard]] std::string guess_json(const GuessResult& result);

}  // namespace brink::ear
