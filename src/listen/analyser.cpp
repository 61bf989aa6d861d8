#include "listen/analyser.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <span>
#include <utility>
#include <vector>

#include "base/denormals.h"
#include "base/error.h"
#include "base/printable.h"
#include "listen/danger.h"
#include "listen/ring_gatherer.h"
#include "listen/workers.h"

namespace brink::listen {
namespace {

/// Consecutive blocks of a recording, each channel apart. What one run of the workers hears: long
/// enough that they seldom wait for each other, short enough to be stopped at once.
class Batch {
 public:
  static constexpr int kMostBlocks = 8;

  void read(io::SoundReader& reader, std::span<const ChannelLine> lines, int blocks) {
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

  [[nodiscard]] std::vector<std::span<const float>> channels() const {
    return {channels_.begin(), channels_.end()};
  }

  [[nodiscard]] std::int64_t samples() const {
    return channels_.empty() ? 0 : static_cast<std::int64_t>(channels_.front().size());
  }

 private:
  std::vector<std::vector<float>> channels_;
};

std::vector<ChannelLine> make_lines(const io::SoundReader& reader, const AnalysisOptions& options) {
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
  std::vector<ChannelLine> lines;
  for (int channel = first; channel <= last; ++channel) {
    lines.emplace_back(channel, config);
  }
  return lines;
}

/// Cut at the looks, so that none is missed.
void push_with_looks(ChannelLine& line,
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

/// With the names that the recording has for channels that are not named otherwise.
AnalysisOptions with_own_names(AnalysisOptions options, const io::SoundReader& reader) {
  int channel = 0;
  for (const std::string& name : reader.channel_names()) {
    options.names.suggest(++channel, name);
  }
  return options;
}

}  // namespace

struct Analyser::State {
  io::SoundReader& reader;
  AnalysisOptions options;
  Look look;
  std::vector<ChannelLine> lines;
  RingGatherer gatherer;
  // One is read, one heard, and the rings of the last one are gathered, side by side.
  std::array<Batch, 3> batches{};
  std::size_t next = 0;  // the batch to hear; the one to read comes after it
  int blocks = 1;        // of the next batch; the first one is soon there
  bool is_begun = false;
  bool is_last_gathered = true;
  std::int64_t heard = 0;
  Workers workers;

  State(io::SoundReader& its_reader, const AnalysisOptions& its_options, Look its_look)
      : reader(its_reader),
        options(with_own_names(its_options, its_reader)),
        look(std::move(its_look)),
        lines(make_lines(its_reader, its_options)),
        gatherer(lines, its_reader.sample_rate_hz(), options),
        // Two more for reading and gathering; more would have nothing to do.
        workers(std::clamp(its_options.jobs, 1, static_cast<int>(lines.size()) + 2)) {}

  [[nodiscard]] std::size_t after(std::size_t batch, std::size_t steps) const {
    return (batch + steps) % batches.size();
  }

  void read(Batch& batch);
  void gather_last();
  void hear(std::size_t line, std::span<const float> samples);
  [[nodiscard]] Analysis gather_all() const;
};

void Analyser::State::read(Batch& batch) {
  batch.read(reader, lines, blocks);
  blocks = std::min(2 * blocks, Batch::kMostBlocks);
}

void Analyser::State::gather_last() {
  if (!is_last_gathered) {
    gatherer.hear(batches[after(next, batches.size() - 1)].channels());
    is_last_gathered = true;
  }
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
  gatherer.gather(lines, analysis);
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
  const std::size_t coming = state.after(state.next, 1);
  state.workers.run(state.lines.size() + 2, [&](std::size_t piece) {
    if (piece == 0) {
      state.gather_last();
    } else if (piece == 1) {
      state.read(state.batches[coming]);
    } else {
      state.hear(piece - 2, batch.channel(piece - 2));
    }
  });
  state.gatherer.collect(state.lines);
  state.is_last_gathered = false;
  state.heard += batch.samples();
  state.next = coming;
  return true;
}

double Analyser::done_ratio() const noexcept {
  const std::int64_t promised = state_->reader.promised_samples();
  return promised > 0 ? static_cast<double>(state_->heard) / static_cast<double>(promised) : 0.0;
}

Analysis Analyser::so_far() {
  state_->gather_last();
  return state_->gather_all();
}

Analysis Analyser::finish() {
  State& state = *state_;
  const bool was_stopped = !state.is_begun || state.batches[state.next].samples() > 0;
  state.gather_last();
  const base::NoDenormals no_denormals;
  for (ChannelLine& line : state.lines) {
    line.detector.finish(line);
  }
  state.gatherer.finish(state.lines);
  Analysis analysis = state.gather_all();
  analysis.was_stopped = was_stopped;
  if (!was_stopped) {
    analysis.shortfall = state.reader.shortfall();
    refuse_without_numbers(analysis);
  }
  return analysis;
}

}  // namespace brink::listen
