#include <fmt/format.h>

#include <cmath>

#include "base/units.h"
#include "ear/guess_result.h"
#include "ear/ruler.h"
#include "show/cut_words.h"

namespace brink::ear {
namespace {

std::string note_and_label(double frequency_hz) {
  return fmt::format("{} ({})", base::frequency_label(frequency_hz), base::note_name(frequency_hz));
}

std::string error_text(const GuessScore& score, double true_hz, bool by_note) {
  const double step_cents = hearing_step_cents(true_hz);
  if (std::abs(score.error_cents) <= step_cents) {
    return fmt::format("as near as hearing goes (within {:.0f} cents)", step_cents);
  }
  const char* const side = score.error_cents > 0.0 ? "high" : "low";
  std::string far =
      by_note ? fmt::format("{:.1f} semitones {}", std::abs(score.error_cents) / 100.0, side)
              : fmt::format("{:.0f} cents {}, {:.1f} third-octaves",
                            std::abs(score.error_cents),
                            side,
                            std::abs(score.error_bands));
  if (score.octave_slip == 0) {
    return far;
  }
  const int octaves = std::abs(score.octave_slip);
  return fmt::format("{}: {} octave{} off, right otherwise", far, octaves, octaves == 1 ? "" : "s");
}

std::string cut_text(const GuessResult& result) {
  const GuessScore& score = result.score;
  std::string cut = fmt::format("a cut of {:g} dB at {} takes {:.1f} dB there",
                                -score.cut.depth_db,
                                score.cut_on == cuts::Target::Kind::kGraphic
                                    ? show::band_name(score.cut.centre_hz)
                                    : base::frequency_label(score.cut.centre_hz),
                                std::abs(score.left_db));
  if (!score.stops_ring) {
    return cut;
  }
  return cut + (*score.stops_ring ? " and stops the ring" : ", and it would have rung on");
}

}  // namespace

const char* verdict(const GuessResult& result) noexcept {
  if (!result.is_right) {
    return "not yet";
  }
  return result.score.is_hit ? "right" : "near enough";
}

std::string guess_text(const GuessResult& result, bool by_note) {
  std::string text = fmt::format("{}: it was {}, you said {}: {}; {}",
                                 verdict(result),
                                 note_and_label(result.record.true_hz),
                                 by_note ? base::note_name(result.record.guessed_hz)
                                         : base::frequency_label(result.record.guessed_hz),
                                 error_text(result.score, result.record.true_hz, by_note),
                                 cut_text(result));
  if (!result.is_in_time) {
    text += "; it was loud before you named it";
  }
  return text + '.';
}

}  // namespace brink::ear
