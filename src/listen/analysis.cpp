#include "listen/analysis.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <tuple>

#include "base/denormals.h"
#include "base/error.h"
#include "base/printable.h"
#include "listen/danger.h"
#include "show/merge_rings.h"
#include "show/ring_measurement.h"

namespace brink::listen {
namespace {

/// One channel on its way through its own detector.
struct Line {
  int channel;
  detector::Detector detector;
  show::RingList rings;
};

std::vector<Line> make_lines(const io::SoundReader& reader, const AnalysisOptions& options) {
  if (options.channel && (*options.channel < 1 || *options.channel > reader.channels())) {
    throw base::Error(fmt::format("{}: there is no channel {}; it has {}.",
                                  base::printable(reader.path()),
                                  *options.channel,
                                  reader.channels()));
  }
  const int first = options.channel.value_or(1);
  const int last = options.channel.value_or(reader.channels());
  detector::DetectorConfig config;
  config.sample_rate_hz = reader.sample_rate_hz();
  config.sure = options.sure;
  std::vector<Line> lines;
  for (int channel = first; channel <= last; ++channel) {
    lines.push_back({channel, detector::Detector(config), show::RingList(options.wants_unsure)});
  }
  return lines;
}

double done_ratio(const io::SoundReader& reader) {
  return reader.promised_samples() > 0 ? static_cast<double>(reader.samples_read()) /
                                             static_cast<double>(reader.promised_samples())
                                       : 0.0;
}

/// Cut at the looks, so that none is missed.
void push_with_looks(Line& line,
                     std::span<const float> block,
                     std::int64_t heard,
                     const Look& look) {
  const std::int64_t hop = line.detector.hop_samples();
  while (!block.empty()) {
    const auto piece = std::min(static_cast<std::size_t>(hop - heard % hop), block.size());
    line.detector.push(block.first(piece), line.rings);
    block = block.subspan(piece);
    heard += static_cast<std::int64_t>(piece);
    if (heard % hop == 0) {
      look(line.channel, heard, line.detector);
    }
  }
}

void run(io::SoundReader& reader,
         std::vector<Line>& lines,
         const Progress& progress,
         const Look& look,
         Analysis& analysis) {
  const base::NoDenormals no_denormals;
  std::int64_t heard = 0;
  while (!analysis.was_stopped && reader.next_block()) {
    for (Line& line : lines) {
      const std::span<const float> block = reader.channel(line.channel - 1);
      if (look) {
        push_with_looks(line, block, heard, look);
      } else {
        line.detector.push(block, line.rings);
      }
    }
    heard = reader.samples_read();
    analysis.was_stopped = progress && !progress(done_ratio(reader));
  }
  for (Line& line : lines) {
    line.detector.finish(line.rings);
  }
}

void sort_rings(std::vector<FoundRing>& rings) {
  const auto key = [](const FoundRing& found) {
    return std::tuple(found.ring.onset_sample, found.channel, found.ring.id);
  };
  std::sort(
      rings.begin(), rings.end(), [&](const auto& a, const auto& b) { return key(a) < key(b); });
}

void gather(const std::vector<Line>& lines, Analysis& analysis) {
  for (const Line& line : lines) {
    analysis.analysed.push_back({line.channel, line.detector.counts()});
    for (const detector::Ring& ring : line.rings.rings()) {
      const bool was_withdrawn = ring.state == detector::RingState::kWithdrawn;
      auto& list = was_withdrawn             ? analysis.withdrawn
                   : show::was_certain(ring) ? analysis.rings
                                             : analysis.unsure;
      list.push_back({line.channel, ring, {}});
    }
  }
  sort_rings(analysis.rings);
  sort_rings(analysis.withdrawn);
  sort_rings(analysis.unsure);
}

void propose(Analysis& analysis) {
  for (FoundRing& found : analysis.rings) {
    found.cut = cuts::propose_cut(to_measurement(found, analysis));
  }
  analysis.cuts = shared_cuts(analysis, to_rows(analysis.rings, RowOrder::kTime));
}

void refuse_without_numbers(const Analysis& analysis) {
  const bool has_numbers = std::any_of(
      analysis.analysed.begin(), analysis.analysed.end(), [](const AnalysedChannel& line) {
        return line.counts.non_finite < line.counts.samples;
      });
  if (!has_numbers) {
    throw base::Error(
        fmt::format("{}: not one sample in it is a number (all are NaN or infinite); export the "
                    "recording again.",
                    base::printable(analysis.file)));
  }
}

}  // namespace

cuts::RingMeasurement to_measurement(const FoundRing& found, const Analysis& analysis) {
  auto measurement = show::to_measurement(found.ring, analysis.sample_rate_hz, analysis.samples);
  measurement.growth_db_per_s =
      cuts::trusted_growth(found.ring.growth_db_per_s, found.ring.confidence);
  return measurement;
}

std::vector<cuts::SharedCut> shared_cuts(const Analysis& analysis, std::span<const PlaceRow> rows) {
  std::vector<std::size_t> rings;
  for (const PlaceRow& row : rows) {
    rings.insert(rings.end(), row.place.rings.begin(), row.place.rings.end());
  }
  std::sort(rings.begin(), rings.end());
  std::vector<cuts::RingMeasurement> measurements;
  for (const std::size_t ring : rings) {
    measurements.push_back(to_measurement(analysis.rings[ring], analysis));
  }
  std::vector<cuts::SharedCut> shared = cuts::share_cuts(measurements);
  for (cuts::SharedCut& cut : shared) {
    for (int& index : cut.for_rings) {
      index = static_cast<int>(rings[static_cast<std::size_t>(index)]);
    }
  }
  return shared;
}

Analysis analyse(io::SoundReader& reader,
                 const AnalysisOptions& options,
                 const Progress& progress,
                 const Look& look) {
  std::vector<Line> lines = make_lines(reader, options);
  Analysis analysis;
  analysis.file = reader.path();
  analysis.sample_rate_hz = reader.sample_rate_hz();
  analysis.channels = reader.channels();
  run(reader, lines, progress, look, analysis);
  analysis.samples = reader.samples_read();
  if (!analysis.was_stopped) {
    analysis.shortfall = reader.shortfall();
  }
  gather(lines, analysis);
  if (!analysis.was_stopped) {
    refuse_without_numbers(analysis);
  }
  propose(analysis);
  return analysis;
}

std::vector<FoundPlace> by_place(std::span<const FoundRing> rings) {
  std::vector<FoundPlace> places;
  for (std::size_t i = 0; i < rings.size(); ++i) {
    const auto known = std::find_if(places.begin(), places.end(), [&](const FoundPlace& place) {
      const FoundRing& other = rings[place.loudest];
      return rings[i].ring.place != 0 && other.ring.place == rings[i].ring.place &&
             other.channel == rings[i].channel;
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

std::vector<std::string> warnings(const Analysis& analysis) {
  std::vector<std::string> sentences;
  if (!analysis.shortfall.empty()) {
    sentences.push_back(analysis.shortfall);
  }
  for (const AnalysedChannel& line : analysis.analysed) {
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
