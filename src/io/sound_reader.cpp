#include <fmt/format.h>
#include <sndfile.h>

#include <cerrno>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/files.h"
#include "io/sound_file.h"
#include "io/sound_header.h"
#include "io/track_names.h"

namespace brink::io {
namespace {

constexpr unsigned kMostChunkBytes = 1U << 20U;

using base::Error;

[[noreturn]] void refuse_folder(const std::string& name) {
  throw Error(fmt::format("{}: it is a directory; name the recordings in it.", name));
}

[[noreturn]] void refuse_open(const std::string& name, int reason) {
  if (reason == EISDIR) {
    refuse_folder(name);
  }
  if (reason == ENOENT || reason == ENOTDIR) {
    throw Error(fmt::format("{}: there is no such file; check the name.", name));
  }
  if (reason == EACCES || reason == EPERM) {
    throw Error(fmt::format("{}: no permission to read it; ask its owner or copy it.", name));
  }
  throw Error(
      fmt::format("{}: it cannot be opened ({}).", name, std::generic_category().message(reason)));
}

/// Refuses what is no regular file with something in it; returns its length in bytes.
std::int64_t check_kind(const std::string& name, int descriptor) {
  const auto facts = facts_of(descriptor);
  if (!facts) {
    refuse_open(name, errno);
  }
  if (facts->kind == FileKind::kFolder) {
    refuse_folder(name);
  }
  if (facts->kind != FileKind::kRegular) {
    throw Error(fmt::format("{}: it is no regular file; save the recording to one first.", name));
  }
  if (facts->bytes == 0) {
    throw Error(fmt::format("{}: the file is empty; record or export it again.", name));
  }
  return facts->bytes;
}

void check_header(const std::string& name, const SoundHeader& header) {
  if (header.container == SoundContainer::kUnknown) {
    throw Error(
        fmt::format("{}: this is no WAV, W64, FLAC, AIFF, CAF or Ogg file, whatever its name says; "
                    "export it as "
                    "one of these.",
                    name));
  }
  constexpr std::int64_t kMpeg = 0x0050;
  constexpr std::int64_t kMpegLayer3 = 0x0055;
  if (header.format_tag == kMpeg || header.format_tag == kMpegLayer3) {
    throw Error(fmt::format(
        "{}: what is inside this WAV is MP3; export it as WAV with plain samples, or as FLAC.",
        name));
  }
  constexpr std::int64_t kMostBytes = std::int64_t{1} << 48U;  // no disk holds such a recording
  if (header.promised_bytes > kMostBytes) {
    throw Error(fmt::format(
        "{}: its header promises {} bytes of samples, which no file holds; export it again.",
        name,
        header.promised_bytes));
  }
  if (header.channels != kNotStated && (header.channels < 1 || header.channels > kMostChannels)) {
    throw Error(fmt::format("{}: it claims {} channels, and brink takes 1 to {}; split it.",
                            name,
                            header.channels,
                            kMostChannels));
  }
  const bool is_stated = header.sample_rate_hz != static_cast<double>(kNotStated);
  if (is_stated &&
      !(header.sample_rate_hz >= kLowestRateHz && header.sample_rate_hz <= kHighestRateHz)) {
    throw Error(
        fmt::format("{}: it claims a sample rate of {:.0f} Hz, and brink takes {:.0f} to {:.0f} "
                    "Hz; convert it.",
                    name,
                    header.sample_rate_hz,
                    kLowestRateHz,
                    kHighestRateHz));
  }
}

}  // namespace

struct SoundReader::State {
  std::string path;
  SoundHeader header;
  SF_INFO info{};
  OpenFile source;
  SNDFILE* file = nullptr;
  std::vector<std::string> channel_names;
  std::int64_t promised_samples = -1;
  std::int64_t samples_read = 0;
  int error = SF_ERR_NO_ERROR;
  std::size_t block_samples = 0;  // of each channel, in the present block
  std::vector<float> mixed;       // as the file has it: channel by channel within each sample time
  std::vector<float> apart;       // kBlockSamples of the first channel, then of the second, ...

  explicit State(std::string name) : path(std::move(name)) {}

  ~State() {
    if (file != nullptr) {
      sf_close(file);
    }
  }

  State(const State&) = delete;
  State& operator=(const State&) = delete;
  State(State&&) = delete;
  State& operator=(State&&) = delete;

  void open();
  void check_opened() const;
  [[nodiscard]] bool has_samples() const;
  void count_promise();
  [[nodiscard]] std::string chunk(const char* id) const;
  void separate();
};

void SoundReader::State::open() {
  const std::string name = base::printable(path);
  source = OpenFile(open_to_look(path));
  if (!source.is_open()) {
    refuse_open(name, errno);
  }
  const std::int64_t file_bytes = check_kind(name, source.number());
  header = read_sound_header(source.number(), file_bytes);
  check_header(name, header);
  file = sf_open_fd(source.number(), SFM_READ, &info, SF_FALSE);
  if (file == nullptr && header.container == SoundContainer::kCaf &&
      header.promised_bytes > header.present_bytes) {
    // The sound library takes no CAF whose samples are not all there.
    throw Error(fmt::format(
        "{}: the file is cut short, and a CAF can only be read whole; copy it again, or save it as "
        "WAV.",
        name));
  }
  if (file == nullptr) {
    throw Error(fmt::format("{}: the file is damaged or of a kind that brink cannot read ({}).",
                            name,
                            sf_strerror(nullptr)));
  }
  check_opened();
  count_promise();
  channel_names = track_names(chunk("iXML"), static_cast<std::size_t>(info.channels));
  mixed.resize(static_cast<std::size_t>(kBlockSamples) * static_cast<std::size_t>(info.channels));
  apart.resize(mixed.size());
}

void SoundReader::State::check_opened() const {
  SoundHeader opened = header;  // what the library made of it counts, not the claim
  opened.channels = info.channels;
  opened.sample_rate_hz = info.samplerate;
  check_header(base::printable(path), opened);
  if (info.frames == 0 || !has_samples()) {
    throw Error(
        fmt::format("{}: there are no samples in it; perhaps the recording was never finished.",
                    base::printable(path)));
  }
}

/// A FLAC or Ogg that was cut short before its first block still claims its full length.
bool SoundReader::State::has_samples() const {
  if (header.container != SoundContainer::kFlac && header.container != SoundContainer::kOgg) {
    return true;
  }
  std::vector<float> first(static_cast<std::size_t>(info.channels));
  const bool has_one = sf_readf_float(file, first.data(), 1) == 1;
  return has_one && sf_seek(file, 0, SEEK_SET) == 0;
}

/// The library cuts the length of a WAV or AIFF down to what is there; the header's own claim tells
/// how long it was meant to be.
void SoundReader::State::count_promise() {
  if (info.frames == SF_COUNT_MAX) {
    return;  // a FLAC stream of unknown length
  }
  promised_samples = info.frames;
  if (header.promised_bytes > header.present_bytes && header.present_bytes > 0) {
    const double grown =
        static_cast<double>(header.promised_bytes) / static_cast<double>(header.present_bytes);
    promised_samples =
        std::max(promised_samples,
                 static_cast<std::int64_t>(std::floor(static_cast<double>(info.frames) * grown)));
  }
}

/// What a chunk of the file holds; empty when there is none, or more than kMostChunkBytes.
std::string SoundReader::State::chunk(const char* id) const {
  SF_CHUNK_INFO wanted{};
  std::snprintf(static_cast<char*>(wanted.id), sizeof(wanted.id), "%s", id);
  wanted.id_size = static_cast<unsigned>(std::strlen(id));
  const SF_CHUNK_ITERATOR* const found = sf_get_chunk_iterator(file, &wanted);
  if (found == nullptr || sf_get_chunk_size(found, &wanted) != SF_ERR_NO_ERROR ||
      wanted.datalen > kMostChunkBytes) {
    return {};
  }
  std::string text(wanted.datalen, '\0');
  wanted.data = text.data();
  return sf_get_chunk_data(found, &wanted) == SF_ERR_NO_ERROR ? text : std::string();
}

void SoundReader::State::separate() {
  const auto channels = static_cast<std::size_t>(info.channels);
  for (std::size_t c = 0; c < channels; ++c) {
    float* const own = apart.data() + c * kBlockSamples;
    for (std::size_t i = 0; i < block_samples; ++i) {
      own[i] = mixed[i * channels + c];
    }
  }
}

SoundReader::SoundReader(const std::string& path) : state_(std::make_unique<State>(path)) {
  state_->open();
}

SoundReader::~SoundReader() = default;
SoundReader::SoundReader(SoundReader&&) noexcept = default;
SoundReader& SoundReader::operator=(SoundReader&&) noexcept = default;

const std::string& SoundReader::path() const noexcept {
  return state_->path;
}

double SoundReader::sample_rate_hz() const noexcept {
  return state_->info.samplerate;
}

const std::vector<std::string>& SoundReader::channel_names() const noexcept {
  return state_->channel_names;
}

int SoundReader::channels() const noexcept {
  return state_->info.channels;
}

std::int64_t SoundReader::promised_samples() const noexcept {
  return state_->promised_samples;
}

std::int64_t SoundReader::samples_read() const noexcept {
  return state_->samples_read;
}

bool SoundReader::skip_to(std::int64_t sample) noexcept {
  if (sf_seek(state_->file, sample, SEEK_SET) != sample) {
    return false;
  }
  state_->samples_read = sample;
  return true;
}

bool SoundReader::next_block() noexcept {
  State& state = *state_;
  const sf_count_t count = sf_readf_float(state.file, state.mixed.data(), kBlockSamples);
  if (const int error = sf_error(state.file); error != SF_ERR_NO_ERROR) {
    state.error = error;
  }
  state.block_samples = count > 0 ? static_cast<std::size_t>(count) : 0;
  state.samples_read += static_cast<std::int64_t>(state.block_samples);
  state.separate();
  return state.block_samples > 0;
}

std::span<const float> SoundReader::channel(int index) const noexcept {
  return std::span(state_->apart)
      .subspan(static_cast<std::size_t>(index) * kBlockSamples, state_->block_samples);
}

std::string SoundReader::shortfall() const {
  const State& state = *state_;
  const bool is_short = state.samples_read < state.promised_samples;
  if (!is_short && state.error == SF_ERR_NO_ERROR && !state.header.is_cut_short) {
    return {};
  }
  const double rate_hz = state.info.samplerate;
  const double read_s = static_cast<double>(state.samples_read) / rate_hz;
  if (!is_short) {
    return fmt::format("{}: the file is {}; only its first {:.2f} s could be read.",
                       base::printable(state.path),
                       state.header.is_cut_short ? "cut short" : "damaged",
                       read_s);
  }
  return fmt::format(
      "{}: the file is {}; of the {:.2f} s that its header promises, only the first {:.2f} s could "
      "be read.",
      base::printable(state.path),
      state.error == SF_ERR_NO_ERROR ? "cut short" : "cut short or damaged",
      static_cast<double>(state.promised_samples) / rate_hz,
      read_s);
}

}  // namespace brink::io
