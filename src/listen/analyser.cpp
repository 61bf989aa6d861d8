#include "listen/analyser.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <map>
#include <span>
#include <tuple>
#include <utility>
#include <vector>

#include "base/denormals.h"
#include "base/error.h"
#include "base/printable.h"
#include "listen/danger.h"
#include "listen/workers.h"
#include "show/merge_rings.h"
#include "taps/tap_rings.h"

namespace brink::listen {
namespace {

/// One channel on its way through its own detector.
struct Line final : detector::EventSink {
  Line(int number, const detector::DetectorConfig& config) : channel{number}, detector{config} {}

  void on_event(const detector::RingEvent& event) noexcept override { events.push_back(event); }

  int channel;
  detector::Detector detector;
  std::vector<detector::RingEvent> events;  // since the stage took them
  bool is_silent = true;                    // nothing but exact zeros so far
};

/// Consecutive blocks of a recording, each channel apart. What one run of the workers hears: long
/// enough that they seldom wait for each other, short enough to be stopped at once.
class Batch {
 public:
  static constexpr int kMostBlocks = 8;

  void read(io::SoundReader& reader, std::span<const Line> lines, int blocks) {
    channels_.resize(lines.size());
    for (auto& channel : channels_) {
      channel.clear();
    }
    for (int i = 0; i < blocks && reader.next_block(); ++i) {
      for (std::size_t line = 0; line < lines.size(); ++line) {
        const std::span<const float> block = reader.channel(lines[line].channel - 1);
        channels_[line].insert(channels_[line].end(), block.begin(), block.end());
      }
    }
  }

  [[nodiscard]] std::span<const float> channel(std::size_t line) const { return channels_[line]; }

  [[nodiscard]] std::int64_t samples() const {
    return channels_.empty() ? 0 : static_cast<std::int64_t>(channels_.front().size());
  }

 private:
  std::vector<std::vector<float>> channels_;
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
    lines.emplace_back(channel, config);
  }
  return lines;
}

/// Cut at the looks, so that none is missed.
void push_with_looks(Line& line,
                     std::span<const float> block,
                     std::int64_t heard,
                     const Look& look) {
  const std::int64_t hop = line.detector.hop_samples();
  while (!block.empty()) {
    const auto piece = std::min(static_cast<std::size_t>(hop - heard % hop), block.size());
    line.detector.push(block.first(piece), line);
    block = block.subspan(piece);
    heard += static_cast<std::int64_t>(piece);
    if (heard % hop == 0) {
      look(line.channel, heard, line.detector);
    }
  }
}

void sort_rings(std::vector<FoundRing>& rings) {
  const auto key = [](const FoundRing& found) {
    return std::tuple(found.ring.onset_sample, found.channel, found.ring.id);
  };
  std::sort(
      rings.begin(), rings.end(), [&](const auto& a, const auto& b) { return key(a) < key(b); });
}

std::vector<taps::TapInfo> tap_infos(const std::vector<Line>& lines,
                                     const AnalysisOptions& options) {
  const std::vector<int> outputs = options.names.outputs();
  std::vector<taps::TapInfo> infos;
  for (const Line& line : lines) {
    const bool is_output = std::find(outputs.begin(), outputs.end(), line.channel) != outputs.end();
    infos.push_back(
        {line.channel, is_output ? taps::TapRole::kOutput : taps::TapRole::kMicrophone});
  }
  return infos;
}

/// What all lines together say of the stage.
class Stage {
 public:
  Stage(const std::vector<Line>& lines, double sample_rate_hz, const AnalysisOptions& options)
      : rings_{sample_rate_hz, tap_infos(lines, options)}, list_{options.wants_unsure} {}

  /// After each line has heard its channel of the batch.
  void hear(std::vector<Line>& lines, const Batch& batch) {
    for (std::int64_t at = 0; at < batch.samples();) {
      const auto count =
          std::min<std::int64_t>(batch.samples() - at, io::SoundReader::kBlockSamples);
      heard_ += count;
      std::vector<std::span<const float>> block;
      for (std::size_t tap = 0; tap < lines.size(); ++tap) {
        block.push_back(batch.channel(tap).subspan(static_cast<std::size_t>(at),
                                                   static_cast<std::size_t>(count)));
      }
      take(lines);
      rings_.hear(block);
      settle();
      at += count;
    }
    for (std::size_t tap = 0; tap < lines.size(); ++tap) {
      const int original = rings_.copies().copy_of(tap);
      if (original >= 0) {
        copies_[tap] = lines[static_cast<std::size_t>(original)].channel;
      }
    }
  }

  /// After each line has finished.
  void finish(std::vector<Line>& lines) {
    ++heard_;  // above every event's sample
    take(lines);
    settle();
  }

  void gather(const std::vector<Line>& lines, Analysis& analysis) const;

 private:
  /// The events up to now. They are in order.
  void take(std::vector<Line>& lines) {
    for (std::size_t tap = 0; tap < lines.size(); ++tap) {
      std::vector<detector::RingEvent>& events = lines[tap].events;
      const auto end = std::find_if(
          events.begin(), events.end(), [&](const auto& event) { return event.sample > heard_; });
      for (auto event = events.begin(); event != end; ++event) {
        rings_.take(tap, *event);
      }
      events.erase(events.begin(), end);
    }
  }

  void settle() {
    for (const taps::TapRingEvent& event : rings_.settle()) {
      list_.on_event({event.sample, event.ring});
      FoundRing& found = told_[event.ring.id];
      found.channel = event.channel;
      found.shares = event.shares;
    }
  }

  taps::TapRings rings_;
  show::RingList list_;
  std::map<std::uint32_t, FoundRing> told_;  // channel and shares, by the ring's id
  std::map<std::size_t, int> copies_;        // by tap
  std::int64_t heard_ = 0;
};

void Stage::gather(const std::vector<Line>& lines, Analysis& analysis) const {
  for (std::size_t tap = 0; tap < lines.size(); ++tap) {
    const auto copy = copies_.find(tap);
    analysis.analysed.push_back({lines[tap].channel,
                                 lines[tap].detector.counts(),
                                 copy == copies_.end() ? 0 : copy->second,
                                 lines[tap].is_silent});
  }
  for (const detector::Ring& ring : list_.rings()) {
    const bool was_withdrawn = ring.state == detector::RingState::kWithdrawn;
    auto& list = was_withdrawn             ? analysis.withdrawn
                 : show::was_certain(ring) ? analysis.rings
                                           : analysis.unsure;
    FoundRing& found = list.emplace_back(told_.at(ring.id));
    found.ring = ring;
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

struct Analyser::State {
  io::SoundReader& reader;
  AnalysisOptions options;
  Look look;
  std::vector<Line> lines;
  Stage stage;
  std::array<Batch, 2> batches{};  // one is heard while the other is read
  int blocks = 1;                  // of the next batch; the first one is soon there
  std::size_t next = 0;            // the batch to hear
  bool is_begun = false;
  std::int64_t heard = 0;
  Workers workers;

  State(io::SoundReader& its_reader, const AnalysisOptions& its_options, Look its_look)
      : reader(its_reader),
        options(its_options),
        look(std::move(its_look)),
        lines(make_lines(its_reader, its_options)),
        stage(lines, its_reader.sample_rate_hz(), its_options),
        // One more for reading; more would have nothing to do.
        workers(std::clamp(its_options.jobs, 1, static_cast<int>(lines.size()) + 1)) {}

  void read(Batch& batch);
  void hear(std::size_t line, std::span<const float> samples);
  [[nodiscard]] Analysis gather_all() const;
};

void Analyser::State::read(Batch& batch) {
  batch.read(reader, lines, blocks);
  blocks = std::min(2 * blocks, Batch::kMostBlocks);
}

void Analyser::State::hear(std::size_t line, std::span<const float> samples) {
  const base::NoDenormals no_denormals;
  bool& is_silent = lines[line].is_silent;
  is_silent = is_silent && std::all_of(samples.begin(), samples.end(), [](float sample) {
                return sample == 0.0F;
              });
  if (look) {
    push_with_looks(lines[line], samples, heard, look);
  } else {
    lines[line].detector.push(samples, lines[line]);
  }
}

Analysis Analyser::State::gather_all() const {
  Analysis analysis;
  analysis.file = reader.path();
  analysis.sample_rate_hz = reader.sample_rate_hz();
  analysis.channels = reader.channels();
  analysis.names = options.names;
  analysis.samples = heard;
  stage.gather(lines, analysis);
  propose(analysis);
  return analysis;
}

Analyser::Analyser(io::SoundReader& reader, const AnalysisOptions& options, Look look)
    : state_(std::make_unique<State>(reader, options, std::move(look))) {}

Analyser::~Analyser() = default;

bool Analyser::advance() {
  State& state = *state_;
  if (!std::exchange(state.is_begun, true)) {
    state.read(state.batches[state.next]);
  }
  const Batch& batch = state.batches[state.next];
  if (batch.samples() == 0) {
    return false;
  }
  Batch& other = state.batches[1 - state.next];
  state.workers.run(state.lines.size() + 1, [&](std::size_t piece) {
    if (piece == 0) {
      state.read(other);
    } else {
      state.hear(piece - 1, batch.channel(piece - 1));
    }
  });
  state.stage.hear(state.lines, batch);
  state.heard += batch.samples();
  state.next = 1 - state.next;
  return true;
}

double Analyser::done_ratio() const noexcept {
  const std::int64_t promised = state_->reader.promised_samples();
  return promised > 0 ? static_cast<double>(state_->heard) / static_cast<double>(promised) : 0.0;
}

Analysis Analyser::so_far() const {
  return state_->gather_all();
}

Analysis Analyser::finish() {
  State& state = *state_;
  const bool was_stopped = !state.is_begun || state.batches[state.next].samples() > 0;
  const base::NoDenormals no_denormals;
  for (Line& line : state.lines) {
    line.detector.finish(line);
  }
  state.stage.finish(state.lines);
  Analysis analysis = state.gather_all();
  analysis.was_stopped = was_stopped;
  if (!was_stopped) {
    analysis.shortfall = state.reader.shortfall();
    refuse_without_numbers(analysis);
  }
  return analysis;
}

}  // namespace brink::listen
