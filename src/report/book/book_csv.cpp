#include <fmt/format.h>

#include <optional>
#include <vector>

#include "report/analysis/analysis_csv.h"
#include "report/book/book_text.h"

namespace brink::report {
namespace {

std::string field(const std::optional<double>& value) {
  return value ? fmt::format("{}", *value) : std::string();
}

std::string cut_fields(const std::optional<cuts::Band>& cut) {
  return cut ? fmt::format("{},{},{}", cut->centre_hz, cut->q, cut->depth_db) : ",,";
}

std::string round_fields(std::size_t number, const show::RoundRecord& round) {
  const show::RingRecord& ring = round.ring;
  return fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},{},round,,,,,{}",
                     number,
                     csv_field(ring.flagged_at),
                     ring.frequency_hz,
                     ring.frequency_sd_hz,
                     ring.growth_db_per_s,
                     ring.peak_dbfs,
                     ring.confidence,
                     cut_fields(round.proposed),
                     cut_fields(round.cut),
                     field(round.rang_at_db),
                     field(round.returned_at_db),
                     round.has_faded ? "yes" : "no",
                     csv_field(round.note),
                     field(ring.laeq_1s_db));
}

/// A sweep has a line of its own, and one for each ring that it foresees and each cut that it
/// plans.
struct SweepLine {
  const char* kind = "";
  std::optional<double> frequency_hz;
  std::optional<double> until_db;  ///< gain until it rings
  std::optional<cuts::Band> cut;
};

std::string sweep_fields(std::size_t number,
                         const show::SweepRecord& sweep,
                         const SweepLine& line) {
  const bool is_whole = !line.frequency_hz && !line.cut;
  const std::string won =
      is_whole ? fmt::format("{},{},{}", sweep.won_least_db, sweep.won_most_db, sweep.lost_db)
               : ",,";
  return fmt::format("{},{},{},,,,,,,,{},,,,{},{},{},{},",
                     number,
                     csv_field(sweep.made_at),
                     field(line.frequency_hz),
                     cut_fields(line.cut),
                     is_whole ? csv_field(sweep.note) : "",
                     line.kind,
                     field(line.until_db),
                     won);
}

std::string sweep_lines(const std::string& head,
                        std::size_t number,
                        const show::SweepRecord& sweep) {
  std::vector<SweepLine> lines{{"sweep", std::nullopt, sweep.stable_gain_db, std::nullopt}};
  for (const show::ForeseenRecord& ring : sweep.rings) {
    lines.push_back({"foreseen", ring.frequency_hz, ring.until_db, std::nullopt});
  }
  for (const cuts::Band& cut : sweep.cuts) {
    lines.push_back({"planned", std::nullopt, std::nullopt, cut});
  }
  std::string text;
  for (const SweepLine& line : lines) {
    text += head + sweep_fields(number, sweep, line) + "\n";
  }
  return text;
}

}  // namespace

std::string shows_csv_header() {
  return "key,venue,show,started_at,output,microphone,position,round,flagged_at,frequency_hz,"
         "frequency_sd_hz,growth_db_per_s,peak_dbfs,confidence,proposed_centre_hz,proposed_q,"
         "proposed_depth_db,cut_centre_hz,cut_q,cut_depth_db,rang_at_db,returned_at_db,faded,note,"
         "kind,until_db,won_least_db,won_most_db,lost_db,laeq_1s_db"
         "\n";
}

std::string show_csv(const show::ShowRecord& show) {
  constexpr const char* kNoRound = ",,,,,,,,,,,,,,,,,,,,,,";
  std::string text;
  for (const show::OutputRecord& output : show.outputs) {
    const std::string head = fmt::format("{},{},{},{},{},{},{},",
                                         csv_field(show.key),
                                         csv_field(show.venue),
                                         csv_field(show.name),
                                         csv_field(show.started_at),
                                         csv_field(output.name),
                                         csv_field(output.microphone),
                                         csv_field(output.position));
    for (std::size_t i = 0; i < output.sweeps.size(); ++i) {
      text += sweep_lines(head, i + 1, output.sweeps[i]);
    }
    if (output.rounds.empty() && output.sweeps.empty()) {
      text += head + kNoRound + "\n";
    }
    for (std::size_t i = 0; i < output.rounds.size(); ++i) {
      text += head + round_fields(i + 1, output.rounds[i]) + "\n";
    }
  }
  return text;
}

std::string list_csv(std::span<const io::ShowSummary> shows) {
  std::string text = "key,venue,show,started_at,outputs,rounds,won_db\n";
  for (const io::ShowSummary& show : shows) {
    text += fmt::format("{},{},{},{},{},{},{}\n",
                        csv_field(show.key),
                        csv_field(show.venue),
                        csv_field(show.name),
                        csv_field(show.started_at),
                        show.output_count,
                        show.round_count,
                        field(show.won_db));
  }
  return text;
}

}  // namespace brink::report
