#include "sheet/sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/error.h"
#include "base/units.h"
#include "sheet/facts.h"
#include "sheet/pictures.h"
#include "sheet/style.h"
#include "sheet/sweeps.h"
#include "sheet/table.h"
#include "sheet/text.h"
#include "sheet/words.h"
#include "show/cut_words.h"
#include "show/gain_won.h"
#include "show/last_check.h"

namespace brink::sheet {
namespace {

std::string words(const std::string& plain) {
  return fmt::format("<p class=\"words\">{}</p>\n", markup_safe(plain));
}

/// A heading and what must be printed on the same page with it.
std::string kept(std::string_view heading, std::string_view content) {
  return fmt::format("<div class=\"keep\"><h3>{}</h3>\n{}</div>\n", heading, content);
}

std::string note(std::string_view text) {
  return text.empty() ? "" : fmt::format("<p class=\"note\">{}</p>\n", typed(text));
}

std::string or_unnamed(const std::string& name, const char* otherwise) {
  return name.empty() ? otherwise : typed(name);
}

std::string number_cell(const std::optional<double>& value, const std::string& shown) {
  return value ? number_element(*value, shown) : shown;
}

std::string ring_numbers(const std::vector<std::size_t>& rounds) {
  constexpr std::size_t kMost = 8;
  std::vector<std::string> items;
  for (std::size_t i = 0; i < std::min(rounds.size(), kMost); ++i) {
    items.push_back(fmt::format("{}", rounds[i] + 1));
  }
  if (rounds.size() > kMost) {
    items.push_back(fmt::format("{} more", rounds.size() - kMost));
  }
  return items.empty() ? "—" : listed(items);
}

std::string cuts_table(const SheetOutput& output) {
  const std::string step = output.target
                               ? fmt::format("Steps of {:g}\u00A0dB", output.target->depth_step_db)
                               : std::string("Steps");
  SheetTable table(
      "The cuts, as the equaliser is set",
      {{"Cut"}, {"Centre", true, true}, {"Q"}, {"Depth", false, true}, {step}, {"For ring"}},
      true);
  std::size_t number = 0;
  for (const SheetCut& cut : output.cuts) {
    const std::string place =
        number_element(cut.cut.centre_hz, cut.place) +
        (cut.band.empty() ? "" : fmt::format(" <small>{}</small>", cut.band)) +
        (cut.off_step.empty() ? ""
                              : fmt::format(" <small>not on a step: {}</small>", cut.off_step));
    ++number;
    if (cut.is_high_pass) {
      table.add({fmt::format("{}", number),
                 place + " <small>high-pass, 12\u00A0dB per octave</small>",
                 "",
                 "",
                 "",
                 ""});
      continue;
    }
    table.add({fmt::format("{}", number),
               place,
               number_element(cut.cut.q, written_q(cut.cut.q)),
               number_element(cut.cut.depth_db, written_db(cut.cut.depth_db, cut.depth_decimals)),
               cut.depth_steps ? fmt::format("{}", *cut.depth_steps) : "—",
               ring_numbers(cut.rounds)});
  }
  return std::move(table).finish();
}

std::string equaliser_part(const SheetOutput& output, std::size_t number) {
  return "<h3>Set the equaliser</h3>\n" + words(plain_cuts(output)) + curve_figure(output, number) +
         (output.cuts.empty() ? "" : cuts_table(output));
}

std::string ring_cell(const show::RingRecord& ring) {
  if (!std::isfinite(ring.frequency_hz) || ring.frequency_hz <= 0.0) {
    return "not known";
  }
  std::string note = base::note_name(ring.frequency_hz);
  if (const auto minus = note.find(" -"); minus != std::string::npos) {
    note.replace(minus, 2, " \u2212");
  }
  return fmt::format(
      "<span class=\"n\">{} <small>±\u00A0{}\u00A0Hz, {}</small></span>",
      number_element(ring.frequency_hz, written_number(ring.frequency_hz, 1) + "\u00A0Hz"),
      number_element(ring.frequency_sd_hz, written_number(ring.frequency_sd_hz, 1)),
      markup_safe(note));
}

/// "faded after its cut" is what the key says; a row has less room. On paper its words stay in one
/// line.
std::string state_cell(RingState state) {
  return fmt::format("<span class=\"row\">{}</span>",
                     state == RingState::kFaded ? "faded" : written_state(state));
}

std::string rings_table(const SheetOutput& output) {
  SheetTable table("The rings, in the order in which they were flagged",
                   {{"Ring"},
                    {"Flagged at"},
                    {"Frequency", false, true, true},
                    {"Growth, dB/s"},
                    {"Peak, dBFS"},
                    {"Sure"},
                    {"Equaliser there"},
                    {"Then", true, false, true}});
  for (std::size_t i = 0; i < output.rounds.size(); ++i) {
    const show::RingRecord& ring = output.record->rounds[i].ring;
    const double percent = 100.0 * ring.confidence;
    table.add(
        {fmt::format("{}", i + 1),
         time_element(ring.flagged_at, clock_of(ring.flagged_at)),
         ring_cell(ring),
         number_element(ring.growth_db_per_s, written_number(ring.growth_db_per_s, 1)),
         number_element(ring.peak_dbfs, written_number(ring.peak_dbfs, 1)),
         number_element(ring.confidence,
                        written_number(percent, 0) + (std::isfinite(percent) ? "\u00A0%" : "")),
         written_db(output.rounds[i].level_now_db),
         state_cell(output.rounds[i].state)});
  }
  return std::move(table).finish();
}

std::string rings_part(const SheetOutput& output, std::size_t number) {
  if (output.rounds.empty()) {
    return kept("What rang", words(plain_rings(output)));
  }
  return kept("What rang", words(plain_rings(output)) + rings_figure(output, number)) +
         rings_table(output);
}

std::string record_cut(const cuts::Band& cut, const SheetOutput& output) {
  if (cuts::is_high_pass(cut)) {
    return fmt::format("high-pass {}", number_element(cut.centre_hz, written_hz(cut.centre_hz)));
  }
  return fmt::format("{}, Q\u00A0{}, {}",
                     number_element(cut.centre_hz, output.written_centre(cut.centre_hz)),
                     number_element(cut.q, written_q(cut.q)),
                     number_element(cut.depth_db, written_db(cut.depth_db)));
}

std::string round_cut(const show::RoundRecord& round, const SheetOutput& output) {
  std::string text = round.cut ? record_cut(*round.cut, output) : "none yet";
  const auto now = round.cut ? show::standing_cut(*round.cut, output.record->cuts) : std::nullopt;
  if (round.cut && now != round.cut) {
    text += fmt::format(" <small class=\"b\">now: {}</small>",
                        now ? record_cut(*now, output) : std::string("no cut there"));
  }
  if (round.proposed && round.proposed != round.cut) {
    text += fmt::format(" <small class=\"b\">proposed: {}</small>",
                        record_cut(*round.proposed, output));
  }
  if (!round.note.empty()) {
    text += fmt::format(" <small class=\"b\">{}</small>", typed(round.note));
  }
  return text;
}

std::string rounds_table(const SheetOutput& output) {
  SheetTable table("The rounds: fader positions, and what each cut won",
                   {{"Round"},
                    {"Cut", true, false, true},
                    {"Rang at"},
                    {"Came back at"},
                    {"Won", false, true},
                    {"Won so far"}});
  for (std::size_t i = 0; i < output.rounds.size(); ++i) {
    const show::RoundRecord& round = output.record->rounds[i];
    const SheetRound& fact = output.rounds[i];
    table.add({fmt::format("{}", i + 1),
               round_cut(round, output),
               number_cell(round.rang_at_db, written_db(round.rang_at_db)),
               number_cell(round.returned_at_db, written_db(round.returned_at_db)),
               written_change_db(fact.won_db),
               written_change_db(fact.won_so_far_db)});
  }
  return std::move(table).finish();
}

std::string rounds_part(const SheetOutput& output, std::size_t number) {
  std::string part = words(plain_rounds(output)) + words(plain_margin(output));
  if (!output.record->advice.empty()) {
    part +=
        fmt::format("<p class=\"words\">Advice at its end: {}</p>\n", typed(output.record->advice));
  }
  part = kept("What each round won", part + climb_figure(output, number));
  return output.rounds.empty() ? part : part + rounds_table(output);
}

/// A figure that only an ended output has.
std::string at_end(const SheetOutput& output, const std::optional<double>& value_db) {
  if (!output.record->is_ended) {
    return "still open";
  }
  return show::has_rung(*output.record) ? number_cell(value_db, written_db(value_db))
                                        : std::string("nothing rang");
}

std::string leave_at(const SheetOutput& output) {
  return at_end(output, output.leave_at_db);
}

std::string margin_left(const SheetOutput& output) {
  return at_end(output, output.record->back_off_db);
}

std::string big_figures(const SheetOutput& output) {
  const auto entry = [](const char* name, const std::string& value, const char* kind) {
    return fmt::format("<div{}><dt>{}</dt><dd>{}</dd></div>", kind, name, value);
  };
  return "<dl class=\"big\">" + entry("Leave the fader at", leave_at(output), " class=\"first\"") +
         entry("Margin left", margin_left(output), "") +
         entry("Won", written_change_db(output.won_db), "") +
         entry("Cuts", fmt::format("{}", output.cuts.size()), "") + "</dl>\n";
}

std::string target_name(const SheetOutput& output) {
  if (!output.target) {
    return output.record->target.empty() ? "not said" : typed(output.record->target);
  }
  return typed(output.target->name);
}

std::string output_facts(const SheetOutput& output) {
  const show::OutputRecord& record = *output.record;
  return fmt::format(
      "<p class=\"facts\">Microphone: <b>{}</b> · Position: <b>{}</b> · Target: <b>{}</b>, "
      "{}</p>\n",
      or_unnamed(record.microphone, "not said"),
      or_unnamed(record.position, "not said"),
      target_name(output),
      plain_target(output));
}

std::string prepared_part(const show::OutputRecord& record) {
  std::string items;
  for (const std::string& item : record.prepared) {
    items +=
        fmt::format("{}<span class=\"tick\">{}</span>", items.empty() ? "" : ", ", typed(item));
  }
  return items.empty() ? "" : fmt::format("<p class=\"facts\">Made ready: {}</p>\n", items);
}

/// `of_show`: markup that says on paper which show this output belongs to. The only output of a
/// show
/// (`is_alone`) goes on where the show's part ends; others begin a page each.
std::string output_section(const SheetOutput& output,
                           std::size_t number,
                           bool is_alone,
                           const std::string& of_show) {
  const show::OutputRecord& record = *output.record;
  std::string part = fmt::format(
      "<section class=\"output{3}\" aria-labelledby=\"output-{0}\">\n<div class=\"keep\">\n<p "
      "class=\"over paper\">{2}</p>\n<h2 id=\"output-{0}\"><span class=\"no\">{0}</span> "
      "<span>{1}</span></h2>\n",
      number,
      or_unnamed(record.name, "Output without a name"),
      of_show,
      is_alone ? " alone" : "");
  part += output_facts(output) + prepared_part(record) + big_figures(output) + note(record.note) +
          "</div>\n";
  part += equaliser_part(output, number) + sweeps_part(output) + rings_part(output, number) +
          rounds_part(output, number);
  return part +
         "<p class=\"care short\">Raise slowly from silence, hand on the fader, ears protected. "
         "Local rules and qualified people come first.</p>\n</section>\n";
}

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
    part += words("No output was rung out in this show.");
  } else {
    part += words(show_words(outputs));
  }
  if (outputs.size() > 1) {  // of one, its own part says it
    part += outputs_table(outputs);
  }
  part += microphones_part(outputs);
  part += fmt::format("<p class=\"words\">Last check, all outputs open: {}</p>\n",
                      show.check ? typed(show::check_words(*show.check)) : "not done.");
  part += note(show.note);
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
