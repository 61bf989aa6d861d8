#include "cuts/link/link_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cuts/link/link_bands.h"
#include "cuts/link/link_plan.h"

namespace brink::cuts {
namespace {

using Kind = LinkPart::Kind;

/// The values that the target can have for this part.
std::vector<double> values_of(const Target& target, const LinkPart& part) {
  if (part.kind == Kind::kFrequency) {
    return target.centres_hz;
  }
  if (part.kind == Kind::kQ) {
    return target.qs;
  }
  std::vector<double> depths_db;
  for (double depth_db = 0.0; depth_db >= target.deepest_db - 1e-9;
       depth_db -= target.depth_step_db) {
    depths_db.push_back(depth_db);
  }
  return depths_db;
}

std::string value_words(Kind kind, double value) {
  return kind == Kind::kFrequency ? fmt::format("{:.4g} Hz", value)
         : kind == Kind::kQ       ? fmt::format("Q {:.3g}", value)
                                  : fmt::format("{:.3g} dB", value);
}

/// On the way down from 0 dB, the largest step between two of the console's numbers.
double largest_step_db(const Scale& scale, double deepest_db) {
  const double end = scale.number_of(deepest_db);
  double largest_db = 0.0;
  for (double number = scale.number_of(0.0); scale.is_whole() && number != end;) {
    const double next = scale.step_towards(number, end);
    largest_db = std::max(largest_db, std::abs(*scale.value_of(next) - *scale.value_of(number)));
    number = next;
  }
  return largest_db;
}

void check_depth(const LinkedTarget& linked, const Scale& scale, LinkTrial& trial) {
  const double nearest_db = *scale.value_of(scale.number_of(0.0));
  LinkBands bands(linked);
  bands.assume_flat();
  if (!bands.is_flat(trial.part.band)) {
    trial.findings.push_back(
        fmt::format("0 dB has no number of its own, the nearest is {:+.2f} dB: the band never "
                    "counts as free, so its cuts are set by hand; a table can give 0 dB a number",
                    nearest_db));
  }
  const double step_db = largest_step_db(scale, linked.target.deepest_db);
  if (step_db > kMostStepDb + 1e-4) {
    trial.findings.push_back(
        fmt::format("one number is up to {:.1f} dB from the next: more than {:.0f} dB at once is "
                    "not sent, so such cuts are set by hand",
                    step_db,
                    kMostStepDb));
  }
}

LinkTrial try_part(const LinkedTarget& linked, const LinkPart& part) {
  const Target& target = linked.target;
  const Scale& scale = control(linked.link, part).scale;
  LinkTrial trial;
  trial.part = part;
  trial.low = scale.lowest_value();
  trial.high = scale.highest_value();
  trial.first_number = scale.number_of(trial.low);
  trial.last_number = scale.number_of(trial.high);
  if (part.kind == Kind::kFader) {
    return trial;
  }
  std::vector<double> missed;
  for (const double value : values_of(target, part)) {
    const double back = *scale.value_of(scale.number_of(value));
    trial.worst = std::max(
        trial.worst,
        part.kind == Kind::kDepth ? std::abs(back - value) : std::abs(std::log2(back / value)));
    if (!is_near_value(part.kind, back, value)) {
      missed.push_back(value);
    }
  }
  if (!missed.empty()) {
    const auto [least, most] = std::minmax_element(missed.begin(), missed.end());
    trial.findings.push_back(fmt::format(
        "{} of {} values of the target, {} to {}, have no number near: such cuts are set by hand",
        missed.size(),
        values_of(target, part).size(),
        value_words(part.kind, *least),
        value_words(part.kind, *most)));
  }
  if (part.kind == Kind::kDepth) {
    check_depth(linked, scale, trial);
  }
  return trial;
}

}  // namespace

std::vector<LinkTrial> try_link(const LinkedTarget& linked) {
  std::vector<LinkTrial> trials;
  for (const LinkPart& part : parts(linked.link)) {
    trials.push_back(try_part(linked, part));
  }
  return trials;
}

}  // namespace brink::cuts
