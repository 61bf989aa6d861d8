#include "panel/recording/recording_picture.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>

#include "base/error.h"
#include "detector/detector.h"
#include "io/sound_file.h"
#include "panel/draw/draw.h"
#include "panel/plots/spectrum_plot.h"

namespace brink::panel {
namespace {

/// What the longest window and its decimators hold back, and more.
constexpr double kLeadS = 1.5;

class IgnoredEvents final : public detector::EventSink {
  void on_event(const detector::RingEvent& /*event*/) noexcept override {}
};

/// One channel of a section on its way into its picture.
struct SectionLine {
  int channel;
  detector::Detector detector;
  SpectrogramMaker picture;
};

void look(SectionLine& line,
          std::span<const float> block,
          std::int64_t heard,
          std::int64_t before_section) {
  IgnoredEvents ignored;
  const std::int64_t hop = line.detector.hop_samples();
  while (!block.empty()) {
    const auto piece = std::min(static_cast<std::size_t>(hop - heard % hop), block.size());
    line.detector.push(block.first(piece), ignored);
    block = block.subspan(piece);
    heard += static_cast<std::int64_t>(piece);
    if (heard % hop == 0 && heard > before_section) {
      line.picture.look(
          heard - before_section, line.detector.spectrum_hz(), line.detector.spectrum_dbfs());
    }
  }
}

int row_of(double frequency_hz) {
  const double share = FrequencyAxis::to_share(frequency_hz);
  return std::clamp(static_cast<int>(share * Spectrogram::kRows), 0, Spectrogram::kRows - 1);
}

int columns_of(const RecordingSection& section) {
  const Spectrogram& first = section.channels.front();
  const std::int64_t length = section.to - section.from;
  const std::int64_t columns = (length + first.column_samples() - 1) / first.column_samples();
  return static_cast<int>(std::min<std::int64_t>(columns, first.column_count()));
}

}  // namespace

RecordingSection read_section(const std::stop_token& stop,
                              const std::string& path,
                              std::int64_t from,
                              std::int64_t to,
                              int channel) {
  io::SoundReader reader(path);
  const double rate_hz = reader.sample_rate_hz();
  const auto lead = static_cast<std::int64_t>(kLeadS * rate_hz);
  // A whole number of hops before the part, so that looks end where its columns do.
  const std::int64_t hop = detector::Detector({rate_hz}).hop_samples();
  const std::int64_t start = from - hop * std::min(from / hop, lead / hop);
  if (start > 0 && !reader.skip_to(start)) {
    return {};
  }
  RecordingSection section{path, rate_hz, from, to, std::max(channel, 1), {}};
  const int last = channel == 0 ? reader.channels() : std::min(channel, reader.channels());
  std::vector<SectionLine> lines;
  for (int c = section.first_channel; c <= last; ++c) {
    detector::Detector detector({rate_hz});
    SpectrogramMaker picture(to - from, detector.hop_samples());
    picture.set_delays(detector.spectrum_hz(), detector.spectrum_delay_samples());
    lines.push_back({c, std::move(detector), std::move(picture)});
  }
  std::int64_t heard = 0;
  while (start + heard < to + lead && !stop.stop_requested() && reader.next_block()) {
    for (SectionLine& line : lines) {
      look(line, reader.channel(line.channel - 1), heard, from - start);
    }
    heard = reader.samples_read() - start;
  }
  if (stop.stop_requested()) {
    return {};
  }
  for (SectionLine& line : lines) {
    line.picture.finish();
    section.channels.push_back(line.picture.picture());
  }
  return section;
}

RecordingPicture::~RecordingPicture() {
  stop_.request_stop();  // the future then waits for little
}

void RecordingPicture::drop_fine() noexcept {
  stop_.request_stop();
  asked_from_ = asked_to_ = 0;
  fine_.reset();
  stale_lines_ = Spectrogram::kRows;
}

void RecordingPicture::open(RecordingSection whole) {
  if (whole.path != whole_.path) {
    drop_fine();
  }
  whole_ = std::move(whole);
  stale_lines_ = fine_ ? stale_lines_ : Spectrogram::kRows;
}

void RecordingPicture::show_channel(int channel) {
  if (channel != channel_) {
    channel_ = channel;
    drop_fine();
  }
}

/// Half as much again to either side, so that panning finds something there.
void RecordingPicture::ask(const RecordingView& view, const std::function<void()>& on_news) {
  // Longer than this in all channels together, reading takes longer than anybody looks at it.
  constexpr double kMostChannelSeconds = 1800.0;
  const double span = view.to() - view.from();
  const auto from = static_cast<std::int64_t>(std::max(view.from() - 0.5 * span, 0.0));
  const auto to = std::min(static_cast<std::int64_t>(view.to() + 0.5 * span), whole_.to);
  const double channels = channel_ == 0 ? static_cast<double>(whole_.channels.size()) : 1.0;
  const double seconds = channels * static_cast<double>(to - from) / whole_.sample_rate_hz;
  const bool is_finer =
      whole_.channels.front().column_samples() * Spectrogram::kColumns > to - from;
  if (view.is_whole() || !is_finer || seconds > kMostChannelSeconds) {
    return;
  }
  asked_from_ = from;
  asked_to_ = to;
  stop_ = std::stop_source();
  reading_.start(
      [stop = stop_.get_token(), path = whole_.path, from, to, channel = channel_] {
        try {
          return read_section(stop, path, from, to, channel);
        } catch (const base::Error&) {
          return RecordingSection{};  // the coarse picture stays
        }
      },
      on_news);
}

void RecordingPicture::take_read() {
  auto read = reading_.take();
  if (read && !read->channels.empty() && read->path == whole_.path && read->from == asked_from_ &&
      read->to == asked_to_) {
    fine_ = std::move(*read);
    stale_lines_ = Spectrogram::kRows;
  }
}

void RecordingPicture::follow(const RecordingView& view,
                              bool is_resting,
                              const std::function<void()>& on_news) {
  take_read();
  const auto suits = [&](std::int64_t from, std::int64_t to) {
    constexpr double kLeastShare = 0.25;  // of what was read: less of it is too coarse
    return static_cast<double>(from) <= view.from() && static_cast<double>(to) >= view.to() &&
           view.to() - view.from() >= kLeastShare * static_cast<double>(to - from);
  };
  if (asked_to_ > 0 && !suits(asked_from_, asked_to_)) {
    drop_fine();
  }
  if (asked_to_ == 0 && !whole_.channels.empty() && !is_resting && !reading_.is_busy()) {
    ask(view, on_news);
  }
  // A part of the lines in each pass, so that none takes long.
  constexpr int kMostReads = 1 << 20;
  const int strips = channel_ == 0 ? static_cast<int>(present().channels.size()) : 1;
  int lines = fills() ? std::max(kMostReads / (Spectrogram::kColumns * std::max(strips, 1)), 1) : 0;
  for (; stale_lines_ > 0 && lines > 0; --lines) {
    fill_line(next_line_);
    next_line_ = (next_line_ + 1) % Spectrogram::kRows;
    if (--stale_lines_ > 0 && lines == 1) {
      on_news();
    }
  }
}

bool RecordingPicture::fills() const noexcept {
  const RecordingSection& section = present();
  const int index = channel_ == 0 ? 0 : channel_ - section.first_channel;
  return texture_ && index >= 0 && index < static_cast<int>(section.channels.size());
}

/// `line`: from the top.
void RecordingPicture::fill_line(int line) {
  const RecordingSection& section = present();
  const int strips = channel_ == 0 ? static_cast<int>(section.channels.size()) : 1;
  const int strip = line * strips / Spectrogram::kRows;
  const int top = (strip * Spectrogram::kRows + strips - 1) / strips;
  const int height = ((strip + 1) * Spectrogram::kRows + strips - 1) / strips - top;
  const int index = channel_ == 0 ? strip : channel_ - section.first_channel;
  const Spectrogram& picture = section.channels[static_cast<std::size_t>(index)];
  const int highest = Spectrogram::kRows * (height - (line - top)) / height;
  const int lowest = Spectrogram::kRows * (height - 1 - (line - top)) / height;
  std::vector<float> levels_dbfs(static_cast<std::size_t>(columns_of(section)));
  picture.loudest(lowest, highest, levels_dbfs);
  std::vector<ImU32> pixels(Spectrogram::kColumns, colour::kPlot);
  std::transform(levels_dbfs.begin(), levels_dbfs.end(), pixels.begin(), level_colour);
  texture_->write_row(line, pixels);
}

void RecordingPicture::draw(const PlotScale& scale) const {
  const RecordingSection& section = present();
  if (!texture_ || section.channels.empty()) {
    return;
  }
  const double length = static_cast<double>(section.channels.front().column_samples()) *
                        static_cast<double>(Spectrogram::kColumns);
  const auto u_of = [&](double sample) {
    return static_cast<float>((sample - static_cast<double>(section.from)) / length);
  };
  const double end = std::min(scale.to, static_cast<double>(section.to));
  // Half a pixel in, since the texture wraps around.
  constexpr float kHalfRow = 0.5F / Spectrogram::kRows;
  canvas().AddImage(texture_->id(),
                    ImVec2(scale.plot.left, scale.plot.top),
                    ImVec2(scale.x_of(end), scale.plot.bottom),
                    ImVec2(u_of(scale.from), kHalfRow),
                    ImVec2(u_of(end), 1.0F - kHalfRow));
}

std::optional<float> RecordingPicture::level_dbfs(int channel,
                                                  double sample,
                                                  double frequency_hz) const {
  const RecordingSection& section = present();
  const int index = channel - section.first_channel;
  if (index < 0 || index >= static_cast<int>(section.channels.size()) ||
      sample < static_cast<double>(section.from) || sample >= static_cast<double>(section.to)) {
    return std::nullopt;
  }
  const Spectrogram& picture = section.channels[static_cast<std::size_t>(index)];
  const auto column = static_cast<int>((sample - static_cast<double>(section.from)) /
                                       static_cast<double>(picture.column_samples()));
  if (column >= picture.column_count()) {
    return std::nullopt;
  }
  constexpr int kNear = 2;  // rows: a tone is one row high, and no hand hits that
  const int row = row_of(frequency_hz);
  float loudest_dbfs = kDarkDbfs;
  for (int near = std::max(row - kNear, 0); near <= std::min(row + kNear, Spectrogram::kRows - 1);
       ++near) {
    loudest_dbfs = std::max(loudest_dbfs, picture.level_dbfs(column, near));
  }
  return loudest_dbfs;
}

double RecordingPicture::column_s() const noexcept {
  const RecordingSection& section = present();
  return section.channels.empty() ? 0.0
                                  : static_cast<double>(section.channels.front().column_samples()) /
                                        section.sample_rate_hz;
}

}  // namespace brink::panel
