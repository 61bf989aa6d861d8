// Any text as what `brink analyse --format json` writes: to plan cuts from, and to merge into a
// book.

#include <cmath>
#include <cstdint>
#include <optional>
#include <vector>

#include "fuzz/fuzz.h"
#include "report/book/book_json.h"
#include "report/book/book_merge.h"
#include "report/plan_input.h"

using namespace brink;
using fuzz::demand;

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text = fuzz::to_text(data, size);
  for (const std::optional<int> channel : {std::optional<int>(), std::optional<int>(2)}) {
    (void)fuzz::is_taken([&] {
      for (const auto& ring : report::parse_rings_json(text, "text", channel)) {
        demand(ring.frequency_hz > 0.0 && std::isfinite(ring.growth_db_per_s));
      }
    });
  }
  (void)fuzz::is_taken([&] {
    report::MergeConfig config;
    config.started = base::parse_time("2026-05-01T19:02:11.400+02:00");
    demand(config.started.has_value());
    show::ShowRecord show;
    show.key = report::merged_key("Larkfield Hall", "evening");
    report::merge_outputs(show, report::parse_analysis(text, "text", config));
    (void)report::recordings_of(text);
    demand(report::parse_book(report::show_json(show), "again").shows.front() == show);
  });
  return 0;
}
