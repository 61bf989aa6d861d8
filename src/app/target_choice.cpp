#include "app/target_choice.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <span>

#include "app/cut_record.h"
#include "core/error.h"
#include "cuts/grid.h"
#include "io/printable.h"
#include "io/text_file.h"

namespace brink::app {
namespace {

constexpr std::size_t kLongestTarget = 1U << 20U;

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

std::string names_at_hand() {
  std::string names;
  for (const cuts::Target& target : cuts::built_in_targets()) {
    names += (names.empty() ? "" : ", ") + target.name;
  }
  return names;
}

cuts::Target load_file(const std::string& path) {
  if (!std::filesystem::exists(path)) {
    throw core::Error(fmt::format("--target {}: is no file and none of the targets at hand ({}).",
                                  io::printable(path),
                                  names_at_hand()));
  }
  const std::string text = io::read_text_file(path, kLongestTarget);
  cuts::Target target = cuts::parse_target(text, io::printable(path));
  if (cuts::parse_target(text, "").name.empty()) {
    target.name = std::filesystem::path(path).stem().string();
    target.source_text = fmt::format("name = {}\n{}", target.name, text);
  }
  return target;
}

}  // namespace

cuts::Target load_target(const std::string& name_or_path) {
  const cuts::Target* const at_hand = cuts::find_target(name_or_path);
  if (at_hand == nullptr) {
    return load_file(name_or_path);
  }
  cuts::Target target = *at_hand;
  target.source_text = text_of(target);
  return target;
}

cuts::Target to_target(const std::string& text) {
  if (text.find_first_not_of(" \t\r\n") == std::string::npos) {
    return load_target("parametric");
  }
  return cuts::find_target(text) != nullptr ? load_target(text)
                                            : cuts::parse_target(text, "the target");
}

cuts::Target::Kind kept_kind(const std::string& text) noexcept {
  try {
    return to_target(text).kind;
  } catch (const core::Error&) {
    return cuts::Target::Kind::kParametric;
  }
}

io::CutRecord nearest_on(const cuts::Target& target, const io::CutRecord& cut) {
  if (is_high_pass(cut)) {
    return target.high_pass_hz.empty()
               ? cut
               : io::CutRecord{cuts::grid_value(target.high_pass_hz, cut.centre_hz), 0.0, 0.0};
  }
  return {cuts::grid_value(target.centres_hz, cut.centre_hz),
          cuts::grid_value(target.qs, cut.q),
          cuts::depth_value(target, cut.depth_db)};
}

io::CutRecord step_on(const cuts::Target& target,
                      const io::CutRecord& cut,
                      CutField field,
                      int steps) {
  io::CutRecord stepped = nearest_on(target, cut);
  if (is_high_pass(cut)) {
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

}  // namespace brink::app
