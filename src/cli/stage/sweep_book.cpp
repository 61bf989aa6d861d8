#include "cli/stage/sweep_book.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "cli/output.h"
#include "desk/show_keeper.h"
#include "io/book/book.h"
#include "report/sweep_record.h"
#include "show/ring_out/ring_out.h"

namespace brink::cli {
namespace {

constexpr double kPatienceS = 10.0;

show::ShowRecord show_for(const SweepPlace& place, std::chrono::system_clock::time_point now) {
  auto show = desk::find_show_in_progress(place.book, now);
  const bool is_meant = show && (place.venue.empty() || place.venue == show->venue) &&
                        (place.show.empty() || place.show == show->name);
  return is_meant ? std::move(*show) : desk::new_show(place.venue, place.show);
}

/// The output of that name, with the target that was planned for.
void choose(show::RingOut& flow, const std::string& name, const std::string& target) {
  const auto& outputs = flow.record().outputs;
  const auto found = std::find_if(
      outputs.begin(), outputs.end(), [&](const auto& output) { return output.name == name; });
  if (found == outputs.end()) {
    flow.add_output({name, "", "", target});
    return;
  }
  flow.choose_output(static_cast<std::size_t>(found - outputs.begin()));
  const show::OutputRecord& output = *flow.output();
  flow.change_output({name, output.microphone, output.position, target});
}

}  // namespace

void keep_sweep(const SweepPlace& place,
                const report::SweepReport& report,
                std::chrono::system_clock::time_point made_at) {
  show::RingOut flow(show_for(place, made_at));
  choose(flow, place.output, report.plan.target.source_text);
  flow.log_sweep(report::to_record(report, made_at));
  io::Book book(place.book);
  const std::uint64_t serial = book.keep(flow.record());
  if (!book.wait_for(serial, kPatienceS)) {
    const std::string why = book.trouble().value_or("the book does not answer.");
    if (!book.drop_waiting()) {
      throw base::Error(fmt::format("the sweep was not kept: {}", why));
    }
  }
  say(fmt::format(
      "kept in {} as a round of {}.", base::printable(place.book), base::printable(place.output)));
}

}  // namespace brink::cli
