#include <fmt/format.h>
#include <sndfile.h>

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <cmath>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/files.h"
#include "io/paths.h"
#include "io/sound_file.h"

namespace brink::io {
namespace {

using base::Error;

constexpr int kMostFlacChannels = 8;

int to_library(SampleFormat format) {
  switch (format) {
    case SampleFormat::kFloat:
      return SF_FORMAT_FLOAT;
    case SampleFormat::kInt16:
      return SF_FORMAT_PCM_16;
    case SampleFormat::kInt24:
      return SF_FORMAT_PCM_24;
  }
  return SF_FORMAT_PCM_24;
}

std::string lower_extension(const std::string& path) {
  std::string extension = to_path(path).extension().string();
  std::transform(extension.begin(), extension.end(), extension.begin(), [](unsigned char c) {
    return static_cast<char>(std::tolower(c));
  });
  return extension;
}

void check_ranges(const std::string& name, double sample_rate_hz, int channels) {
  if (channels < 1 || channels > kMostChannels) {
    throw Error(fmt::format(
        "{}: {} channels were asked for; brink writes 1 to {}.", name, channels, kMostChannels));
  }
  const bool is_whole = std::nearbyint(sample_rate_hz) == sample_rate_hz;
  if (!is_whole || sample_rate_hz < kLowestRateHz || sample_rate_hz > kHighestRateHz) {
    throw Error(
        fmt::format("{}: a sample rate of {} Hz was asked for; brink writes whole rates from "
                    "{:.0f} to {:.0f} Hz.",
                    name,
                    sample_rate_hz,
                    kLowestRateHz,
                    kHighestRateHz));
  }
}

int container_for(const std::string& path, int channels, SampleFormat format) {
  const std::string name = base::printable(path);
  const std::string extension = lower_extension(path);
  if (extension == ".wav") {
    return SF_FORMAT_RF64;  // becomes a plain WAV when it stays below 4 GiB
  }
  if (extension != ".flac") {
    throw Error(fmt::format("{}: brink writes .wav and .flac; choose one of these endings.", name));
  }
  if (format == SampleFormat::kFloat) {
    throw Error(fmt::format("{}: FLAC holds no float samples; take 16 or 24 bit, or .wav.", name));
  }
  if (channels > kMostFlacChannels) {
    throw Error(fmt::format("{}: FLAC holds at most {} channels, not {}; take .wav.",
                            name,
                            kMostFlacChannels,
                            channels));
  }
  return SF_FORMAT_FLAC;
}

/// The file under the sound library. Its FLAC encoder writes its last block in closing and tells
/// nobody when the disk did not take it; here no failed write goes unseen.
struct Sink {
  int descriptor = -1;
  int fault = 0;  ///< of the first write that failed; 0: none did
};

Sink& sink_of(void* user) {
  return *static_cast<Sink*>(user);
}

sf_count_t sink_length(void* user) {
  const auto facts = facts_of(sink_of(user).descriptor);
  return facts ? facts->bytes : -1;
}

sf_count_t sink_seek(sf_count_t offset, int whence, void* user) {
  return seek(sink_of(user).descriptor, offset, whence);
}

sf_count_t sink_read(void* into, sf_count_t count, void* user) {
  return read_some(sink_of(user).descriptor, into, static_cast<std::size_t>(count));
}

sf_count_t sink_write(const void* from, sf_count_t count, void* user) {
  Sink& sink = sink_of(user);
  const bool is_taken =
      write_all(sink.descriptor, {static_cast<const char*>(from), static_cast<std::size_t>(count)});
  if (!is_taken && sink.fault == 0) {
    sink.fault = errno;
  }
  return is_taken ? count : 0;
}

sf_count_t sink_tell(void* user) {
  return seek(sink_of(user).descriptor, 0, SEEK_CUR);
}

}  // namespace

struct SoundWriter::State {
  std::string path;
  int channels = 0;
  SNDFILE* file = nullptr;
  OpenFile own;  // none: a WholeFile has it
  Sink sink;
  std::vector<float> mixed;

  State(std::string name, int channel_count) : path(std::move(name)), channels(channel_count) {}

  ~State() {
    if (file != nullptr) {
      sf_close(file);
    }
  }

  State(const State&) = delete;
  State& operator=(const State&) = delete;
  State(State&&) = delete;
  State& operator=(State&&) = delete;

  [[noreturn]] void refuse(const std::string& reason) const {
    throw Error(fmt::format("{}: it cannot be written ({}).", base::printable(path), reason));
  }

  /// The disk's own reason goes first.
  void check(bool is_done, const char* reason) const {
    if (sink.fault != 0) {
      refuse(std::generic_category().message(sink.fault));
    }
    if (!is_done) {
      refuse(reason);
    }
  }

  void open(int into,
            double sample_rate_hz,
            int container,
            SampleFormat format,
            const std::string& comment);
};

void SoundWriter::State::open(int into,
                              double sample_rate_hz,
                              int container,
                              SampleFormat format,
                              const std::string& comment) {
  SF_INFO info{};
  info.samplerate = static_cast<int>(sample_rate_hz);
  info.channels = channels;
  info.format = container | to_library(format);
  sink.descriptor = into;
  SF_VIRTUAL_IO io{sink_length, sink_seek, sink_read, sink_write, sink_tell};
  file = sf_open_virtual(&io, SFM_WRITE, &info, &sink);
  check(file != nullptr, sf_strerror(nullptr));
  sf_command(file, SFC_RF64_AUTO_DOWNGRADE, nullptr, SF_TRUE);
  sf_command(file, SFC_SET_CLIPPING, nullptr, SF_TRUE);
  sf_command(file, SFC_SET_ADD_PEAK_CHUNK, nullptr, SF_FALSE);  // it carries the time of day
  if (!comment.empty()) {
    sf_set_string(file, SF_STR_COMMENT, comment.c_str());
  }
}

SoundWriter::SoundWriter(const std::string& path,
                         double sample_rate_hz,
                         int channels,
                         SampleFormat format)
    : state_(std::make_unique<State>(path, channels)) {
  check_ranges(base::printable(path), sample_rate_hz, channels);
  const int container = container_for(path, channels, format);
  state_->own = OpenFile(create_file(path, Readers::kAll));
  if (!state_->own.is_open()) {
    state_->refuse(std::generic_category().message(errno));
  }
  try {
    state_->open(state_->own.number(), sample_rate_hz, container, format, {});
  } catch (const Error&) {
    remove_file(path.c_str());
    throw;
  }
}

SoundWriter::SoundWriter(WholeFile& file,
                         double sample_rate_hz,
                         int channels,
                         SampleFormat format,
                         const std::string& comment)
    : state_(std::make_unique<State>(file.path(), channels)) {
  check_ranges(base::printable(file.path()), sample_rate_hz, channels);
  const int container = container_for(file.path(), channels, format);
  state_->open(file.descriptor(), sample_rate_hz, container, format, comment);
}

SoundWriter::~SoundWriter() = default;
SoundWriter::SoundWriter(SoundWriter&&) noexcept = default;
SoundWriter& SoundWriter::operator=(SoundWriter&&) noexcept = default;

void SoundWriter::write(std::span<const std::span<const float>> block) {
  State& state = *state_;
  const auto channels = static_cast<std::size_t>(state.channels);
  const std::size_t length = block.empty() ? 0 : block.front().size();
  const bool fits =
      block.size() == channels &&
      std::all_of(block.begin(), block.end(), [&](auto c) { return c.size() == length; });
  if (!fits) {
    throw Error(
        fmt::format("{}: a block of {} channels was offered, and the file takes {} of one length.",
                    base::printable(state.path),
                    block.size(),
                    channels));
  }
  state.mixed.resize(channels * length);
  for (std::size_t c = 0; c < channels; ++c) {
    for (std::size_t i = 0; i < length; ++i) {
      const float sample = block[c][i];
      state.mixed[i * channels + c] = std::isfinite(sample) ? sample : 0.0F;
    }
  }
  const auto count = static_cast<sf_count_t>(length);
  if (state.file == nullptr) {
    state.refuse("it is closed");
  }
  const bool is_written = sf_writef_float(state.file, state.mixed.data(), count) == count;
  state.check(is_written, sf_strerror(state.file));
}

void SoundWriter::write(std::span<const float> samples) {
  write(std::span(&samples, 1));
}

void SoundWriter::update_header() {
  State& state = *state_;
  if (state.file == nullptr) {
    state.refuse("it is closed");
  }
  sf_command(state.file, SFC_UPDATE_HEADER_NOW, nullptr, 0);
  state.check(sf_error(state.file) == SF_ERR_NO_ERROR, sf_strerror(state.file));
}

void SoundWriter::close() {
  State& state = *state_;
  if (state.file == nullptr) {
    return;
  }
  const int error = sf_close(std::exchange(state.file, nullptr));
  state.check(error == 0, sf_error_number(error));
  if (!state.own.close()) {
    state.refuse(std::generic_category().message(errno));
  }
}

}  // namespace brink::io
