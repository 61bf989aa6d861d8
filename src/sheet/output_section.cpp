#include "sheet/output_section.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/units.h"
#include "sheet/pictures.h"
#include "sheet/sweeps.h"
#include "sheet/table.h"
#include "sheet/text.h"
#include "sheet/words.h"
#include "show/cut_words.h"
#include "show/gain_won.h"

namespace brink::sheet {
namespace {

std::string number_cell(const std::optional<double>& value, const std::string& shown) {
  return value ? number_element(*value, shown) : shown;
}

/// A heading and what must be printed on the same page with it.
std::string kept(std::string_view heading, std::string_view content) {
  return fmt::format("<div class=\"keep\"><h3>{}</h3>\n{}</div>\n", heading, content);
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
  return "<h3>Set the equaliser</h3>\n" + words_part(plain_cuts(output)) +
         curve_figure(output, number) + (output.cuts.empty() ? "" : cuts_table(output));
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

/// Where the microphone was calibrated, its sound pressure stands under the level in dBFS.
std::string peak_cell(const show::RingRecord& ring) {
  const std::string peak = number_element(ring.peak_dbfs, written_number(ring.peak_dbfs, 1));
  return ring.laeq_1s_db
             ? fmt::format("{} <small class=\"b\">{}\u00A0dBA</small>",
                           peak,
                           number_element(*ring.laeq_1s_db, written_number(*ring.laeq_1s_db, 1)))
             : peak;
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
         peak_cell(ring),
         number_element(ring.confidence,
                        written_number(percent, 0) + (std::isfinite(percent) ? "\u00A0%" : "")),
         written_db(output.rounds[i].level_now_db),
         state_cell(output.rounds[i].state)});
  }
  return std::move(table).finish();
}

std::string rings_part(const SheetOutput& output, std::size_t number) {
  if (output.rounds.empty()) {
    return kept("What rang", words_part(plain_rings(output)));
  }
  return kept("What rang", words_part(plain_rings(output)) + rings_figure(output, number)) +
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
  std::string part = words_part(plain_rounds(output)) + words_part(plain_margin(output));
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

}  // namespace

std::string leave_at(const SheetOutput& output) {
  return at_end(output, output.leave_at_db);
}

std::string margin_left(const SheetOutput& output) {
  return at_end(output, output.record->back_off_db);
}

namespace {

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

}  // namespace

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
  part += output_facts(output) + prepared_part(record) + big_figures(output) +
          note_part(record.note) + "</div>\n";
  part += equaliser_part(output, number) + sweeps_part(output) + rings_part(output, number) +
          rounds_part(output, number);
  return part +
         "<p class=\"care short\">Raise slowly from silence, hand on the fader, ears protected. "
         "Local rules and qualified people come first.</p>\n</section>\n";
}

}  // namespace brink::sheet
