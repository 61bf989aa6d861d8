#include "panel/book/visit_words.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/units.h"
#include "show/compare.h"
#include "show/cut_words.h"
#include "show/kept_target.h"

namespace brink::panel {
namespace {

/// "label: a, b, c", or another sentence when the list is empty.
template <typename List, typename Name>
std::string line_of(const char* label, const List& list, const Name& name, const char* none) {
  std::string words;
  for (const auto& one : list) {
    words += (words.empty() ? "" : ",  ") + name(one);
  }
  return words.empty() ? none : fmt::format("{}: {}.", label, words);
}

}  // namespace

std::vector<std::string> visit_words(const show::ShowRecord& before,
                                     const show::ShowRecord& now,
                                     const std::string& output) {
  const show::VisitComparison visits = show::compare_visits(before, now);
  const auto here = std::find_if(visits.outputs.begin(),
                                 visits.outputs.end(),
                                 [&](const auto& one) { return one.name == output; });
  if (here == visits.outputs.end()) {
    return {"This output was not rung out on the visit before."};
  }
  const auto then = std::find_if(before.outputs.begin(),
                                 before.outputs.end(),
                                 [&](const auto& one) { return one.name == output; });
  const auto kind = show::kept_kind(then == before.outputs.end() ? "" : then->target);
  const auto ring = [](const show::VisitRing& one) {
    return base::frequency_label(one.frequency_hz);
  };
  std::vector<std::string> words{
      line_of(
          "Rang again",
          here->again,
          [](const show::RingPair& pair) {
            return fmt::format("{} (was {})",
                               base::frequency_label(pair.now.frequency_hz),
                               base::frequency_label(pair.before.frequency_hz));
          },
          "Nothing rang again."),
      line_of("New this time", here->fresh, ring, "Nothing new rang."),
      line_of("Quiet this time", here->quiet, ring, "All that rang then rang again."),
      line_of(
          "Cuts of then that nothing asked for now",
          here->needless,
          [&](const cuts::Band& cut) {
            return kind == cuts::Target::Kind::kGraphic && !cuts::is_high_pass(cut)
                       ? show::band_name(cut.centre_hz)
                       : base::frequency_label(cut.centre_hz);
          },
          "No cut of then has become needless.")};
  if (here->won_before_db && here->won_now_db) {
    words.push_back(fmt::format("Stable gain won: {:+.1f} dB then, {:+.1f} dB now.",
                                *here->won_before_db,
                                *here->won_now_db));
  }
  return words;
}

}  // namespace brink::panel
