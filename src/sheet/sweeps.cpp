#include "sheet/sweeps.h"

#include <fmt/format.h>

#include "sheet/table.h"
#include "sheet/text.h"
#include "show/cut_words.h"

namespace brink::sheet {
namespace {

/// "6.0 dB", or "4.1 to 6.0 dB" where the loop's delay was not known.
std::string span_db(double least, double most) {
  const std::string low = fmt::format("{:.1f}", least);
  const std::string high = fmt::format("{:.1f}", most);
  return (low == high ? low : low + " to " + high) + "\u00A0dB";
}

std::string measured(const show::SweepRecord& sweep) {
  std::string text = sweep.from == "impulse" ? "From a response that was measured elsewhere"
                     : sweep.from == "stage" ? "A simulated sweep"
                                             : "A quiet sweep";
  if (sweep.level_dbfs) {
    text += fmt::format(", its peak at {:g}\u00A0dBFS", *sweep.level_dbfs);
  }
  if (sweep.over_noise_db) {
    text += fmt::format(", {:.0f}\u00A0dB over the noise at the microphone", *sweep.over_noise_db);
  }
  return text + ".";
}

std::string foretold(const show::SweepRecord& sweep, const SheetOutput& output) {
  std::string text =
      sweep.rings.empty()
          ? std::string(" Nothing of the loop can ring.")
          : fmt::format(
                " Foretold before the fader went up: the first ring "
                "after {} {}.",
                span_db(sweep.stable_gain_db, sweep.stable_gain_most_db),
                sweep.console_gain_db ? "more than the console's gain then"
                                      : "of gain from the microphone's tap to the output");
  if (sweep.cuts.empty()) {
    return text + " No cut was planned.";
  }
  const cuts::Target::Kind kind =
      output.target ? output.target->kind : cuts::Target::Kind::kParametric;
  std::string cuts;
  for (const cuts::Band& cut : sweep.cuts) {
    cuts += (cuts.empty() ? "" : "; ") + show::cut_text(cut, kind);
  }
  return text +
         fmt::format(
             " Planned: {}. Foretold to win {} of stable gain, for {:.1f}\u00A0dB of level. {}",
             cuts,
             span_db(sweep.won_least_db, sweep.won_most_db),
             sweep.lost_db,
             show::audible_words(cuts::to_setting(sweep.cuts)));
}

std::string rings_table(const show::SweepRecord& sweep) {
  SheetTable table("The rings that the sweep foresaw, in order",
                   {{"Place"}, {"Frequency", false, true}, {"Gain until then"}},
                   true);
  std::size_t place = 0;
  for (const show::ForeseenRecord& ring : sweep.rings) {
    table.add({fmt::format("{}", ++place),
               number_element(ring.frequency_hz, written_hz(ring.frequency_hz)),
               number_element(ring.until_db, written_db(ring.until_db))});
  }
  return std::move(table).finish();
}

}  // namespace

std::string sweeps_part(const SheetOutput& output) {
  std::string part;
  for (const show::SweepRecord& sweep : output.record->sweeps) {
    part +=
        fmt::format("<div class=\"keep\"><h3>Round: sweep, {}</h3>\n<p class=\"words\">{}</p>\n",
                    time_element(sweep.made_at, clock_of(sweep.made_at)),
                    markup_safe(measured(sweep) + foretold(sweep, output)));
    for (const std::string& warning : sweep.warnings) {
      part += note_part(warning);
    }
    part += note_part(sweep.note);
    part += sweep.rings.empty() ? "" : rings_table(sweep);
    part += "</div>\n";
  }
  return part;
}

}  // namespace brink::sheet
