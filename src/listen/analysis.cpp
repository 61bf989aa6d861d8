#include "listen/analysis.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>

#include "base/printable.h"
#include "listen/analyser.h"
#include "show/ring_measurement.h"

namespace brink::listen {

cuts::RingMeasurement to_measurement(const FoundRing& found, const Analysis& analysis) {
  return show::to_final_measurement(found.ring, analysis.sample_rate_hz, analysis.samples);
}

Analysis analyse(io::SoundReader& reader,
                 const AnalysisOptions& options,
                 const Progress& progress,
                 const Look& look) {
  Analyser analyser(reader, options, look);
  while (analyser.advance()) {
    if (progress && !progress(analyser.done_ratio())) {
      break;
    }
  }
  return analyser.finish();
}

std::vector<FoundPlace> by_place(std::span<const FoundRing> rings) {
  std::vector<FoundPlace> places;
  for (std::size_t i = 0; i < rings.size(); ++i) {
    const auto known = std::find_if(places.begin(), places.end(), [&](const FoundPlace& place) {
      const FoundRing& other = rings[place.loudest];
      return rings[i].ring.place != 0 && other.ring.place == rings[i].ring.place;
    });
    if (known == places.end()) {
      places.push_back({{i}, i});
      continue;
    }
    known->rings.push_back(i);
    if (rings[i].ring.peak_dbfs > rings[known->loudest].ring.peak_dbfs) {
      known->loudest = i;
    }
  }
  return places;
}

namespace {

/// A few clipped samples are no fault of a recording; the report's head counts them.
bool is_clipped(const detector::InputCounts& counts) {
  constexpr std::int64_t kFewOneIn = 1000;
  return counts.clipped > counts.samples / kFewOneIn;
}

}  // namespace

std::vector<std::string> warnings(const Analysis& analysis) {
  std::vector<std::string> sentences;
  if (!analysis.shortfall.empty()) {
    sentences.push_back(analysis.shortfall);
  }
  for (const AnalysedChannel& line : analysis.analysed) {
    const std::string fault = show::tap_fault_words(
        line.channel, analysis.names, line.is_silent, is_clipped(line.counts), line.copy_of);
    if (analysis.analysed.size() > 1 && !fault.empty()) {
      sentences.push_back(fmt::format("{}: {}.", base::printable(analysis.file), fault));
    }
    if (line.counts.non_finite > 0) {
      sentences.push_back(
          fmt::format("{}: on channel {}, {} of {} samples are no numbers (NaN or infinite); they "
                      "were taken as silence.",
                      base::printable(analysis.file),
                      line.channel,
                      line.counts.non_finite,
                      line.counts.samples));
    }
  }
  return sentences;
}

}  // namespace brink::listen
