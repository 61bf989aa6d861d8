#include "show/kept_target.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>

#include "base/error.h"
#include "cuts/band.h"
#include "cuts/grid.h"

namespace brink::show {
namespace {

/// The targets at hand, in the form of docs/targets.md; what it has as defaults is left out.
std::string text_of(const cuts::Target& target) {
  std::string text = fmt::format("name = {}\nabout = {}\n", target.name, target.about);
  if (target.kind == cuts::Target::Kind::kParametric) {
    return text + fmt::format("kind = parametric\nbands = {}\nhigh_pass = {}:300\n",
                              target.bands,
                              target.high_pass_hz.front());
  }
  const bool is_octave = target.centres_hz.size() == cuts::iec_grid(3).size();
  return text +
         fmt::format("kind = graphic\nspacing = {}\n", is_octave ? "octave" : "third-octave");
}

}  // namespace

std::optional<cuts::Target> target_at_hand(const std::string& name) {
  const cuts::Target* const at_hand = cuts::find_target(name);
  if (at_hand == nullptr) {
    return std::nullopt;
  }
  cuts::Target target = *at_hand;
  target.source_text = text_of(target);
  return target;
}

cuts::Target to_target(const std::string& text) {
  const bool is_empty = text.find_first_not_of(" \t\r\n") == std::string::npos;
  if (const auto at_hand = target_at_hand(is_empty ? "parametric" : text)) {
    return *at_hand;
  }
  return cuts::parse_target(text, "the target");
}

cuts::Target::Kind kept_kind(const std::string& text) noexcept {
  try {
    return to_target(text).kind;
  } catch (const base::Error&) {
    return cuts::Target::Kind::kParametric;
  }
}

cuts::Band nearest_on(const cuts::Target& target, const cuts::Band& cut) {
  if (cuts::is_high_pass(cut)) {
    return cuts::to_band(cuts::HighPass{
        target.high_pass_hz.empty() ? cut.centre_hz
                                    : cuts::grid_value(target.high_pass_hz, cut.centre_hz)});
  }
  return {cuts::grid_value(target.centres_hz, cut.centre_hz),
          cuts::grid_value(target.qs, cut.q),
          cuts::depth_value(target, cut.depth_db)};
}

cuts::Band step_on(const cuts::Target& target, const cuts::Band& cut, CutField field, int steps) {
  cuts::Band stepped = nearest_on(target, cut);
  if (cuts::is_high_pass(cut)) {
    if (field == CutField::kCentre && !target.high_pass_hz.empty()) {
      stepped.centre_hz = cuts::grid_value(target.high_pass_hz, cut.centre_hz, steps);
    }
    return stepped;
  }
  switch (field) {
    case CutField::kCentre:
      stepped.centre_hz = cuts::grid_value(target.centres_hz, cut.centre_hz, steps);
      break;
    case CutField::kQ:
      stepped.q = cuts::grid_value(target.qs, cut.q, steps);
      break;
    case CutField::kDepth:
      stepped.depth_db = cuts::depth_value(target, cut.depth_db, steps);
      break;
  }
  return stepped;
}

}  // namespace brink::show
