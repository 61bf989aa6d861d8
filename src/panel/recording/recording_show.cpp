#include "panel/recording/recording_show.h"

#include <fmt/format.h>

#include <chrono>
#include <string>
#include <vector>

#include "base/time_of_day.h"
#include "io/files.h"
#include "listen/danger.h"
#include "report/analysis/analysis_json.h"

namespace brink::panel {
namespace {

/// The rows that are ticked.
std::vector<listen::PlaceRow> ticked(const listen::Analysis& analysis,
                                     const RecordingWords& words) {
  std::vector<listen::PlaceRow> rows = listen::to_rows(analysis.rings, listen::RowOrder::kTime);
  std::erase_if(rows, [&](const listen::PlaceRow& row) {
    const listen::FoundRing& loudest = analysis.rings[row.place.loudest];
    return words.left_out.contains({loudest.channel, loudest.ring.id});
  });
  return rows;
}

/// When it was last written, as a recorder does at its end; empty when the file is gone.
std::string written_at(const std::string& path) {
  const auto facts = io::facts_of(path);
  return facts ? base::wall_text(std::chrono::system_clock::from_time_t(facts->written))
               : std::string();
}

void add_note(std::string& to, const std::string& note) {
  if (!note.empty()) {
    to = to.empty() ? note : fmt::format("{}; {}", to, note);
  }
}

}  // namespace

show::ShowRecord recording_show(const listen::Analysis& analysis,
                                const RecordingWords& words,
                                const report::MergeConfig& config) {
  const listen::Analysis part = listen::only_rows(analysis, ticked(analysis, words));
  show::ShowRecord show;
  show.venue = config.venue;
  show.name = config.show;
  show.started_at = written_at(analysis.file);
  show.outputs = report::parse_analysis(report::report_json(part, false), analysis.file, config);
  std::vector<std::size_t> next(show.outputs.size(), 0);
  for (const listen::FoundRing& found : part.rings) {
    const auto output = static_cast<std::size_t>(found.channel - 1);
    show::RoundRecord& round = show.outputs[output].rounds[next[output]++];
    const auto note = words.notes.find({found.channel, found.ring.id});
    add_note(round.note, note == words.notes.end() ? std::string() : note->second);
  }
  for (show::OutputRecord& output : show.outputs) {
    add_note(output.note, words.note);
  }
  return show;
}

}  // namespace brink::panel
