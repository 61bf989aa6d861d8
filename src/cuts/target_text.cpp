#include <fmt/format.h>

#include <algorithm>

#include "cuts/grid.h"
#include "cuts/link/link_text.h"
#include "cuts/target.h"
#include "cuts/text_fields.h"

namespace brink::cuts {
namespace {

void take_graphic(Taker& taker, Target& target) {
  target.kind = Target::Kind::kGraphic;
  const Entry spacing = taker.need("spacing");
  if (spacing.value != "third-octave" && spacing.value != "octave") {
    spacing.refuse(fmt::format("must be third-octave or octave, not '{}'", spacing.value));
  }
  const int apart = spacing.value == "octave" ? 3 : 1;
  target.centres_hz = iec_grid(apart);
  target.qs = {graphic_band_q(apart)};
  target.deepest_db = -12.0;
  if (const auto q = taker.take("q")) {
    target.qs = {q->number_within(0.1, 60.0)};
  }
  if (const auto range = taker.take("frequency")) {
    // Half a step of room, so that nominal centres (63, 315) match their exact ones.
    const auto [low_hz, high_hz] = range->range_within(10.0, 40000.0);
    std::erase_if(target.centres_hz, [low = low_hz / 1.1, high = high_hz * 1.1](double hz) {
      return hz < low || hz > high;
    });
    if (target.centres_hz.empty()) {
      range->refuse("leaves no band");
    }
  }
  target.bands = static_cast<int>(target.centres_hz.size());
}

void take_parametric(Taker& taker, Target& target) {
  target.kind = Target::Kind::kParametric;
  const Entry bands = taker.need("bands");
  target.bands = bands.whole_within(1, 32);
  Entry::Range frequency{20.0, 20000.0};
  if (const auto range = taker.take("frequency")) {
    frequency = range->range_within(10.0, 40000.0);
  }
  double steps_per_octave = 48.0;
  if (const auto steps = taker.take("frequency_steps_per_octave")) {
    steps_per_octave = steps->number_within(1.0, 200.0);
  }
  target.centres_hz = even_ratio_grid(frequency.low, frequency.high, steps_per_octave);
  if (const auto list = taker.take("frequency_list")) {
    target.centres_hz = list->list_within(10.0, 40000.0);
  }
  Entry::Range q{0.5, 30.0};
  if (const auto range = taker.take("q")) {
    q = range->range_within(0.1, 120.0);
  }
  target.qs = even_ratio_grid(q.low, q.high, 8.0);
  if (const auto list = taker.take("q_list")) {
    target.qs = list->list_within(0.1, 120.0);
  }
}

}  // namespace

Target parse_target(std::string_view text, const std::string& name) {
  Taker taker(text, name);
  Target target;
  target.source_text = text;
  target.name = name;
  if (const auto given = taker.take("name")) {
    target.name = given->value;
  }
  if (const auto about = taker.take("about")) {
    target.about = about->value;
  }
  const Entry kind = taker.need("kind");
  if (kind.value == "graphic") {
    take_graphic(taker, target);
  } else if (kind.value == "parametric") {
    take_parametric(taker, target);
  } else {
    kind.refuse(fmt::format("must be graphic or parametric, not '{}'", kind.value));
  }
  if (const auto deepest = taker.take("deepest")) {
    target.deepest_db = deepest->number_within(-60.0, -0.1);
  }
  if (const auto step = taker.take("depth_step")) {
    target.depth_step_db = step->number_within(0.1, 12.0);
    if (target.depth_step_db > -target.deepest_db) {
      step->refuse(fmt::format("must not exceed the deepest cut, {} dB", target.deepest_db));
    }
  }
  if (const auto range = taker.take("high_pass")) {
    const auto [low_hz, high_hz] = range->range_within(10.0, 1000.0);
    double steps_per_octave = 6.0;
    if (const auto steps = taker.take("high_pass_steps_per_octave")) {
      steps_per_octave = steps->number_within(1.0, 48.0);
    }
    target.high_pass_hz = even_ratio_grid(low_hz, high_hz, steps_per_octave);
  }
  (void)take_link(taker, target);  // linked_target() gives it
  taker.refuse_rest(kind.value);
  return target;
}

}  // namespace brink::cuts
