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
    text += fmt::format(", channel {}", found.channel);
  }
  return text + fmt::format("\n{:{}}{}, {}, {:.0f} % sure\n",
                            "",
                            kIndent,
                            growth_text(ring),
                            length_text(analysis, ring),
                            100.0 * ring.confidence);
}

std::string rings_text(const listen::Analysis& analysis) {
  if (analysis.rings.empty()) {
    return "\nNothing rang.\n";
  }
  std::string text = fmt::format("\n{}.\n\n", plural(analysis.rings.size(), "ring"));
  for (std::size_t i = 0; i < analysis.rings.size(); ++i) {
    const listen::FoundRing& found = analysis.rings[i];
    text += entry_text(analysis, found, fmt::format("{}.", i + 1));
    text += fmt::format("{:{}}cut {}\n", "", kIndent, cut_text(found.cut));
  }
  return text;
}

/// "ring 1", "rings 1, 3 and 7", broken where the line is full.
std::string served_text(const std::vector<int>& rings, std::size_t column) {
  constexpr std::size_t kColumns = 78;
  std::string text = rings.size() == 1 ? "ring" : "rings";
  std::size_t used = column + text.size();
  for (const int ring : rings) {
    const std::string item = fmt::format(" {}", ring + 1);
    if (used + item.size() > kColumns) {
      text += fmt::format("\n{:{}}", "", column);
      used = column;
    }
    text += item;
    used += item.size();
  }
  return text;
}

std::string cuts_text(const listen::Analysis& analysis) {
  // Nothing to add where each ring's own cut is the whole answer.
  const bool is_plain = analysis.cuts.size() == analysis.rings.size() && analysis.cuts.size() < 2;
  if (is_plain) {
    return {};
  }
  std::string text =
      fmt::format("\nThe whole recording takes {}:\n\n", plural(analysis.cuts.size(), "cut"));
  for (const cuts::SharedCut& shared : analysis.cuts) {
    const std::string cut = fmt::format("  {:<34}", cut_text(shared.cut));
    text += fmt::format("{} {}\n", cut, served_text(shared.for_rings, cut.size() + 1));
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

std::string report_text(const listen::Analysis& analysis, bool with_unsure) {
  std::string text = head_text(analysis) + rings_text(analysis) + cuts_text(analysis);
  if (with_unsure) {
    text += withdrawn_text(analysis);
    text += unsure_text(analysis);
  }
  return text;
}

}  // namespace brink::report
