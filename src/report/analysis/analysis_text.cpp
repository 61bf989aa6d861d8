#include "report/analysis/analysis_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/printable.h"
#include "base/units.h"

namespace brink::report {
namespace {

/// Under the entry's number and time.
constexpr int kIndent = 13;

std::string plural(std::size_t count, const char* one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

std::string hz_text(double frequency_hz) {
  return frequency_hz < 100.0 ? fmt::format("{:.1f} Hz", frequency_hz)
                              : fmt::format("{:.0f} Hz", frequency_hz);
}

std::string cut_text(const cuts::Cut& cut) {
  return fmt::format("{} by {:.3g} dB at Q {:.3g}", hz_text(cut.centre_hz), -cut.depth_db, cut.q);
}

std::string head_text(const listen::Analysis& analysis) {
  const std::int64_t clipped =
      std::accumulate(analysis.analysed.begin(),
                      analysis.analysed.end(),
                      std::int64_t{0},
                      [](std::int64_t sum, const auto& line) { return sum + line.counts.clipped; });
  std::string text = fmt::format("{}\n{} at {:g} kHz, {}",
                                 base::printable(analysis.file),
                                 clock_text(analysis.duration_s()),
                                 analysis.sample_rate_hz / 1000.0,
                                 plural(static_cast<std::size_t>(analysis.channels), "channel"));
  if (analysis.analysed.size() < static_cast<std::size_t>(analysis.channels)) {
    text += fmt::format(" (only {} heard)", analysis.analysed.front().channel);
  }
  if (clipped > 0) {
    text += fmt::format("; {} clipped", plural(static_cast<std::size_t>(clipped), "sample"));
  }
  return text + "\n";
}

std::string growth_text(const detector::Ring& ring) {
  const double growth_db_per_s = std::round(ring.growth_db_per_s);
  return growth_db_per_s >= 1.0
             ? fmt::format(
                   "grew {:.0f} dB a second up to {:.1f} dBFS", growth_db_per_s, ring.peak_dbfs)
             : fmt::format("no growth to speak of, up to {:.1f} dBFS", ring.peak_dbfs);
}

std::string length_text(const listen::Analysis& analysis, const detector::Ring& ring) {
  if (ring.ended_sample == detector::kNever || ring.ended_sample >= analysis.samples) {
    return "until the end";
  }
  return fmt::format("for {:.1f} s", analysis.to_s(ring.ended_sample - ring.onset_sample));
}

std::string entry_text(const listen::Analysis& analysis,
                       const listen::FoundRing& found,
                       const std::string& label) {
  const detector::Ring& ring = found.ring;
  std::string text = fmt::format("{:>3} {:>8} {} ({})",
                                 label,
                                 clock_text(analysis.to_s(ring.onset_sample)),
                                 hz_text(ring.frequency_hz),
                                 base::note_name(ring.frequency_hz));
  if (analysis.channels > 1) {
    text += ", " + show::where_words(found.channel, found.shares, analysis.names);
  }
  return text + fmt::format("\n{:{}}{}, {}, {:.0f} % sure\n",
                            "",
                            kIndent,
                            growth_text(ring),
                            length_text(analysis, ring),
                            100.0 * ring.confidence);
}

/// `start` and the items behind it, broken where the line is full; `column`: where `start` stands.
std::string list_text(std::string start,
                      const std::vector<std::string>& items,
                      std::size_t column) {
  constexpr std::size_t kColumns = 78;
  std::size_t used = column + start.size();
  for (const std::string& item : items) {
    if (used + 1 + item.size() > kColumns) {
      start += fmt::format("\n{:{}}", "", column);
      used = column;
    }
    start += " " + item;
    used += 1 + item.size();
  }
  return start;
}

/// When else the place rang; empty when it rang once.
std::string times_text(const listen::Analysis& analysis, const listen::FoundPlace& place) {
  if (place.rings.size() < 2) {
    return {};
  }
  std::vector<std::string> times;
  for (const std::size_t ring : place.rings) {
    if (ring != place.loudest) {
      times.push_back(clock_text(analysis.to_s(analysis.rings[ring].ring.onset_sample)));
    }
  }
  return fmt::format("{:{}}{}\n",
                     "",
                     kIndent,
                     list_text(fmt::format("rang {} times, also at", place.rings.size()),
                               times,
                               static_cast<std::size_t>(kIndent)));
}

/// A line for each place that is folded under the row's own.
std::string folded_text(const listen::Analysis& analysis, const listen::PlaceRow& row) {
  const detector::Ring& lead = analysis.rings[row.place.loudest].ring;
  std::string text;
  for (const listen::FoldedPlace& folded : row.folded) {
    const detector::Ring& ring = analysis.rings[folded.place.loudest].ring;
    const std::string times =
        folded.place.rings.size() > 1 ? fmt::format(", {} times", folded.place.rings.size()) : "";
    text += fmt::format(
        "{:{}}under it: {}{}, {}\n",
        "",
        kIndent,
        hz_text(ring.frequency_hz),
        times,
        folded.reason == listen::FoldReason::kProduct
            ? "what a limiter makes of it: no cut belongs there"
            : fmt::format("{:.0f} dB lower at the time", lead.peak_dbfs - ring.peak_dbfs));
  }
  return text;
}

std::string count_text(const listen::Analysis& analysis,
                       const std::vector<listen::PlaceRow>& rows,
                       listen::RowOrder order) {
  std::size_t places = rows.size();
  for (const listen::PlaceRow& row : rows) {
    places += row.folded.size();
  }
  std::string text = fmt::format("\n{}", plural(analysis.rings.size(), "ring"));
  if (places < analysis.rings.size()) {
    text += fmt::format(" at {}", plural(places, "place"));
  }
  if (rows.size() < places) {
    text += fmt::format(", {} of them under a louder one", places - rows.size());
  }
  return text + (order == listen::RowOrder::kDanger && rows.size() > 1
                     ? "; the most dangerous first.\n\n"
                     : ".\n\n");
}

std::string rings_text(const listen::Analysis& analysis,
                       const std::vector<listen::PlaceRow>& rows,
                       listen::RowOrder order) {
  if (analysis.rings.empty()) {
    return "\nNothing rang.\n";
  }
  std::string text = count_text(analysis, rows, order);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const listen::FoundRing& loudest = analysis.rings[rows[i].place.loudest];
    text += entry_text(analysis, loudest, fmt::format("{}.", i + 1));
    if (order == listen::RowOrder::kDanger) {
      text += fmt::format("{:{}}{}\n", "", kIndent, danger_text(rows[i].danger));
    }
    text += times_text(analysis, rows[i].place);
    const std::string first = show::first_move_words(loudest.shares, analysis.names);
    if (!first.empty()) {
      text += fmt::format("{:{}}first {}\n", "", kIndent, first);
    }
    text += fmt::format("{:{}}cut {}\n", "", kIndent, cut_text(loudest.cut));
    text += folded_text(analysis, rows[i]);
  }
  return text;
}

/// "ring 1", "rings 1 3 7": the numbers of the entries that a cut is for, each once.
std::string served_text(const std::vector<int>& rings,
                        const std::vector<listen::PlaceRow>& rows,
                        std::size_t column) {
  std::vector<std::string> entries;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const bool is_served = std::any_of(rings.begin(), rings.end(), [&](int ring) {
      const auto& own = rows[i].place.rings;
      return std::find(own.begin(), own.end(), static_cast<std::size_t>(ring)) != own.end();
    });
    if (is_served) {
      entries.push_back(std::to_string(i + 1));
    }
  }
  return list_text(entries.size() == 1 ? "ring" : "rings", entries, column);
}

std::string cuts_text(const listen::Analysis& analysis, const std::vector<listen::PlaceRow>& rows) {
  // Nothing to add where the one ring's own cut is the whole answer.
  if (analysis.rings.size() == analysis.cuts.size() && analysis.cuts.size() < 2) {
    return {};
  }
  std::string text =
      fmt::format("\nThe whole recording takes {}:\n\n", plural(analysis.cuts.size(), "cut"));
  for (const cuts::SharedCut& shared : analysis.cuts) {
    const std::string cut = fmt::format("  {:<34}", cut_text(shared.cut));
    text += fmt::format("{} {}\n", cut, served_text(shared.for_rings, rows, cut.size() + 1));
  }
  return text;
}

std::string withdrawn_text(const listen::Analysis& analysis) {
  if (analysis.withdrawn.empty()) {
    return {};
  }
  std::string text = fmt::format("\nWithdrawn: {}, what followed spoke against {}.\n\n",
                                 analysis.withdrawn.size(),
                                 analysis.withdrawn.size() == 1 ? "it" : "them");
  for (const listen::FoundRing& found : analysis.withdrawn) {
    text += entry_text(analysis, found, "-");
  }
  return text;
}

std::string unsure_text(const listen::Analysis& analysis) {
  if (analysis.unsure.empty()) {
    return "\nNothing else looked like a ring.\n";
  }
  std::string text = fmt::format("\nNever certain: {}, nothing to cut for {}.\n\n",
                                 analysis.unsure.size(),
                                 analysis.unsure.size() == 1 ? "it" : "them");
  for (const listen::FoundRing& found : analysis.unsure) {
    text += entry_text(analysis, found, "-");
    text += fmt::format("{:{}}last seen {}\n", "", kIndent, detector::to_word(found.ring.state));
  }
  return text;
}

}  // namespace

std::string clock_text(double stream_s) {
  const auto tenths = static_cast<long long>(std::llround(10.0 * std::max(0.0, stream_s)));
  const long long minutes = tenths / 600;
  const std::string seconds = fmt::format("{:02}.{}", tenths / 10 % 60, tenths % 10);
  return minutes < 60 ? fmt::format("{}:{}", minutes, seconds)
                      : fmt::format("{}:{:02}:{}", minutes / 60, minutes % 60, seconds);
}

std::string danger_text(const listen::Danger& danger) {
  std::string text = danger.left_db < 0.05
                         ? "reached full scale"
                         : fmt::format("{:.1f} dB from full scale", danger.left_db);
  if (danger.left_db >= 0.05 && danger.growth_db_per_s >= 1.0) {
    text += fmt::format(", {:.1f} s at its growth", danger.left_db / danger.growth_db_per_s);
  }
  return danger.times > 1 ? text + fmt::format("; rang {} times", danger.times) : text;
}

std::string report_text(const listen::Analysis& analysis,
                        bool with_unsure,
                        listen::RowOrder order) {
  const std::vector<listen::PlaceRow> rows = listen::to_rows(analysis.rings, order);
  std::string text =
      head_text(analysis) + rings_text(analysis, rows, order) + cuts_text(analysis, rows);
  if (with_unsure) {
    text += withdrawn_text(analysis);
    text += unsure_text(analysis);
  }
  return text;
}

}  // namespace brink::report
