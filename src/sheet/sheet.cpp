#include "sheet/sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "base/error.h"
#include "sheet/facts.h"
#include "sheet/output_section.h"
#include "sheet/pictures.h"
#include "sheet/style.h"
#include "sheet/table.h"
#include "sheet/text.h"
#include "sheet/words.h"
#include "show/last_check.h"

namespace brink::sheet {
namespace {

std::string outputs_table(const std::vector<SheetOutput>& outputs) {
  SheetTable table(
      "The outputs",
      {{"Output"}, {"Leave at", false, true}, {"Margin left"}, {"Won"}, {"Rounds"}, {"Cuts"}});
  std::size_t number = 0;
  for (const SheetOutput& output : outputs) {
    table.add({fmt::format("{} {}", ++number, or_unnamed(output.record->name, "without a name")),
               leave_at(output),
               margin_left(output),
               written_change_db(output.won_db),
               fmt::format("{}", output.rounds.size() + output.record->sweeps.size()),
               fmt::format("{}", output.cuts.size())});
  }
  return std::move(table).finish();
}

/// Which microphone brought how many rings in which output: microphones across, outputs down. Empty
/// where none is known.
std::string microphones_part(const std::vector<SheetOutput>& outputs) {
  std::vector<std::string> microphones;
  for (const SheetOutput& output : outputs) {
    for (const show::RoundRecord& round : output.record->rounds) {
      if (!round.microphone.empty() &&
          std::find(microphones.begin(), microphones.end(), round.microphone) ==
              microphones.end()) {
        microphones.push_back(round.microphone);
      }
    }
  }
  if (microphones.empty()) {
    return "";
  }
  std::sort(microphones.begin(), microphones.end());
  std::vector<SheetColumn> columns{{"Output"}};
  for (const std::string& microphone : microphones) {
    columns.push_back({microphone});
  }
  SheetTable table("Rings, by the microphone that brought them", columns, microphones.size() <= 4);
  std::size_t number = 0;
  for (const SheetOutput& output : outputs) {
    std::vector<std::string> cells{
        fmt::format("{} {}", ++number, or_unnamed(output.record->name, "without a name"))};
    for (const std::string& microphone : microphones) {
      std::vector<std::string> rings;
      for (const show::RoundRecord& round : output.record->rounds) {
        if (round.microphone == microphone) {
          rings.push_back(written_hz(round.ring.frequency_hz));
        }
      }
      cells.push_back(rings.empty() ? "—" : listed(rings));
    }
    table.add(cells);
  }
  return "<h3>Which microphone</h3>\n" + std::move(table).finish();
}

std::string dismissals_part(const std::vector<show::DismissalRecord>& dismissals) {
  if (dismissals.empty()) {
    return "";
  }
  SheetTable table("Found, and said not to be a ring",
                   {{"At"}, {"Frequency", false, true}, {"What it was", true}});
  for (const show::DismissalRecord& dismissal : dismissals) {
    table.add({time_element(dismissal.dismissed_at, clock_of(dismissal.dismissed_at)),
               number_element(dismissal.frequency_hz, written_hz(dismissal.frequency_hz)),
               or_unnamed(dismissal.reason, "not said")});
  }
  return "<h3>Not rings</h3>\n" + std::move(table).finish();
}

std::string show_words(const std::vector<SheetOutput>& outputs) {
  std::size_t rings = 0;
  std::size_t open = 0;
  for (const SheetOutput& output : outputs) {
    rings += output.rounds.size();
    open += output.record->is_ended ? 0U : 1U;
  }
  std::string text = fmt::format(
      "{} rung out, {} in all.", counted(outputs.size(), "output"), counted(rings, "ring"));
  if (open > 0) {
    text += fmt::format(" {} still open: no margin was taken there.", counted(open, "output"));
  }
  return text;
}

std::string show_section(const show::ShowRecord& show, const std::vector<SheetOutput>& outputs) {
  std::string part = "<section>\n<h2>At a glance</h2>\n";
  if (outputs.empty()) {
    part += words_part("No output was rung out in this show.");
  } else {
    part += words_part(show_words(outputs));
  }
  if (outputs.size() > 1) {  // of one, its own part says it
    part += outputs_table(outputs);
  }
  part += microphones_part(outputs);
  part += fmt::format("<p class=\"words\">Last check, all outputs open: {}</p>\n",
                      show.check ? typed(show::check_words(*show.check)) : "not done.");
  part += note_part(show.note);
  if (outputs.size() > 1 || !show.dismissals.empty()) {
    part += "<h3>Where it rang</h3>\n" + overview_figure(outputs, show.dismissals);
  }
  return part + dismissals_part(show.dismissals) + safety_markup() + "</section>\n";
}

/// Each cut is calculated at each ring, so the time of a sheet grows with their product.
void check_size(const show::OutputRecord& output) {
  const std::size_t most = std::max(output.cuts.size(), output.rounds.size());
  if (most > kMostSheetRounds) {
    throw base::Error(
        fmt::format("the output '{}' has {} cuts and {} rounds, and a sheet holds {} of each; "
                    "'brink book export' has all of them.",
                    output.name,
                    output.cuts.size(),
                    output.rounds.size(),
                    kMostSheetRounds));
  }
}

}  // namespace

std::string sheet_html(const show::ShowRecord& show) {
  std::for_each(show.outputs.begin(), show.outputs.end(), check_size);
  std::vector<SheetOutput> outputs;
  outputs.reserve(show.outputs.size());
  for (const show::OutputRecord& output : show.outputs) {
    outputs.push_back(sheet_output(output));
  }
  const std::string venue = or_unnamed(show.venue, "Venue without a name");
  const std::string name = or_unnamed(show.name, "Show without a name");
  const std::string day = time_element(show.started_at, day_of(show.started_at));
  std::string body = fmt::format(
      "<header>\n<p class=\"over\">Sheet of a show</p>\n<h1>{}</h1>\n<p class=\"show\">{} · "
      "{}</p>\n</header>\n",
      venue,
      name,
      day);
  body += show_section(show, outputs);
  std::size_t number = 0;
  for (const SheetOutput& output : outputs) {
    body += output_section(
        output, ++number, outputs.size() == 1, fmt::format("{} · {} · {}", venue, name, day));
  }
  body += fmt::format(
      "<footer>Begun {} ({}). Responses are drawn as at {:g}\u00A0kHz. A cut's Q belongs to the "
      "width between the two points of half its depth. Show {}. Written by brink.</footer>\n",
      time_element(show.started_at, clock_of(show.started_at)),
      markup_safe(show.started_at),
      kSheetRateHz / 1000.0,
      typed(show.key));
  return sheet_page(show.venue + ", " + show.name, body);
}

}  // namespace brink::sheet
