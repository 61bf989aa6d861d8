#include "panel/ear/guess_words.h"

#include <fmt/format.h>

#include <cctype>
#include <cmath>

#include "base/units.h"
#include "ear/ruler.h"
#include "show/cut_words.h"

namespace brink::panel {
namespace {

std::string error_words(const ear::GuessResult& result, bool by_note) {
  const ear::GuessScore& score = result.score;
  const double step_cents = ear::hearing_step_cents(result.truth.frequency_hz);
  const std::string said = by_note ? base::note_name(result.record.guessed_hz)
                                   : base::frequency_label(result.record.guessed_hz);
  if (std::abs(score.error_cents) <= step_cents) {
    return fmt::format("You said {}: as near as hearing goes, {:.0f} cents.", said, step_cents);
  }
  const char* const side = score.error_cents > 0.0 ? "too high" : "too low";
  if (by_note) {
    return fmt::format("You said {}: {:.1f} semitones {}, {:.1f} third-octaves.",
                       said,
                       std::abs(score.error_cents) / 100.0,
                       side,
                       std::abs(score.error_bands));
  }
  return fmt::format("You said {}: {:.0f} cents {}, {:.1f} third-octaves.",
                     said,
                     std::abs(score.error_cents),
                     side,
                     std::abs(score.error_bands));
}

std::string slip_words(int octaves) {
  const int count = std::abs(octaves);
  return fmt::format("{} too {}, and right otherwise: an octave slip.",
                     count == 1 ? std::string("An octave") : fmt::format("{} octaves", count),
                     octaves > 0 ? "high" : "low");
}

std::string cut_words(const ear::GuessScore& score) {
  const std::string place =
      score.cut_on == cuts::Target::Kind::kGraphic
          ? show::band_name(score.cut.centre_hz)
          : fmt::format(
                "{} with Q {:.2g}", base::frequency_label(score.cut.centre_hz), score.cut.q);
  std::string words = fmt::format("Your cut, {:g} dB at {}, takes {:.1f} dB away there",
                                  score.cut.depth_db,
                                  place,
                                  std::abs(score.left_db));
  if (score.stops_ring) {
    words += *score.stops_ring ? ": the ring stops" : ": it would have rung on";
  }
  return words + '.';
}

}  // namespace

GuessWords guess_words(const ear::GuessResult& result, bool by_note) {
  GuessWords words;
  words.verdict = ear::verdict(result);
  words.verdict.front() = static_cast<char>(std::toupper(words.verdict.front()));
  words.answer = fmt::format("it was {} ({})",
                             base::frequency_label(result.truth.frequency_hz),
                             base::note_name(result.truth.frequency_hz));
  words.lines.push_back(error_words(result, by_note));
  if (result.score.octave_slip != 0) {
    words.lines.push_back(slip_words(result.score.octave_slip));
  }
  words.lines.push_back(cut_words(result.score));
  if (!result.is_in_time) {
    words.lines.emplace_back("It was loud before you named it.");
  }
  return words;
}

}  // namespace brink::panel
