// Any text as a target file with its link: what is taken is a target that can be worked with.

#include <cmath>
#include <cstdint>
#include <string>

#include "cuts/link/link_check.h"
#include "cuts/link/linked_target.h"
#include "cuts/target.h"
#include "fuzz/fuzz.h"

using namespace brink;
using fuzz::demand;

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  cuts::Target target;
  if (!fuzz::is_taken([&] { target = cuts::parse_target(fuzz::to_text(data, size), "text"); })) {
    return 0;
  }
  demand(target.bands >= 1 && !target.centres_hz.empty() && !target.qs.empty());
  for (const double rate_hz : {8000.0, 48000.0, 192000.0}) {
    for (const cuts::Slot& slot : cuts::to_slots(target, rate_hz)) {
      (void)slot;
    }
  }
  for (const int steps : {-1000000, -1, 0, 1, 1000000}) {
    const double depth_db = cuts::depth_value(target, -6.0, steps);
    demand(depth_db < 0.0 && depth_db >= target.deepest_db - 1e-9);
    const double centre_hz = cuts::grid_value(target.centres_hz, 1000.0, steps);
    demand(centre_hz >= target.centres_hz.front() && centre_hz <= target.centres_hz.back());
  }
  const cuts::Target again = cuts::parse_target(target.source_text, "text");
  demand(again.name == target.name && again.centres_hz == target.centres_hz);
  const auto linked = cuts::linked_target(target);
  if (linked) {
    for (const cuts::LinkPart& part : cuts::parts(linked->link)) {
      demand(!cuts::to_words(cuts::control(linked->link, part)).empty());
    }
  }
  return 0;
}
