#include "panel/recording/recording_sound.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/sound_file.h"
#include "listen/ring_alone.h"

namespace brink::panel {

RecordingPiece piece_before(const listen::Analysis& analysis, const listen::FoundRing& found) {
  constexpr double kLeadS = 1.0;  // long enough to hear what it grows out of
  const auto lead = static_cast<std::int64_t>(kLeadS * analysis.sample_rate_hz);
  return {analysis.file, found.channel, std::max<std::int64_t>(found.ring.onset_sample - lead, 0)};
}

namespace {

/// The ring alone, or the whole, at the loudness of both.
void match_loudness(const RecordingPiece& piece, PieceSamples& read) {
  if (piece.ring_hz <= 0.0 || piece.ring_hz >= 0.5 * read.sample_rate_hz) {
    return;
  }
  listen::RingAndWhole pair =
      listen::at_one_loudness(std::move(read.samples), piece.ring_hz, read.sample_rate_hz);
  read.samples = std::move(piece.is_alone ? pair.alone : pair.whole);
  read.gain_db = piece.is_alone ? pair.alone_gain_db : pair.whole_gain_db;
  read.loudness_lufs = pair.loudness_lufs;
}

}  // namespace

PieceSamples read_piece(const RecordingPiece& piece) {
  io::SoundReader reader(piece.path);
  if (!reader.skip_to(piece.from_sample)) {
    reader = io::SoundReader(piece.path);  // from the beginning, then
  }
  PieceSamples read;
  read.sample_rate_hz = reader.sample_rate_hz();
  const auto most = static_cast<std::size_t>(RecordingPiece::kLongestS * reader.sample_rate_hz());
  std::int64_t at = reader.samples_read();
  while (piece.channel <= reader.channels() && read.samples.size() < most && reader.next_block()) {
    const std::span<const float> block = reader.channel(piece.channel - 1);
    const auto length = static_cast<std::int64_t>(block.size());
    const auto skipped = std::clamp<std::int64_t>(piece.from_sample - at, 0, length);
    read.samples.insert(read.samples.end(), block.begin() + skipped, block.end());
    at += length;
  }
  read.samples.resize(std::min(read.samples.size(), most));
  if (read.samples.empty()) {
    throw base::Error(fmt::format("{}: there is no sound at that place any more; open it again.",
                                  base::printable(piece.path)));
  }
  match_loudness(piece, read);
  return read;
}

void RecordingSound::open(const RecordingPiece& piece, const std::function<void()>& on_news) {
  opened_ = piece;
  opening_.start(
      [piece, old = sound_.unload()]() mutable {
        old.reset();  // the device of the piece before: closing it may take a while
        const PieceSamples read = read_piece(piece);
        return Opened{std::make_shared<io::Player>(read.sample_rate_hz, read.samples),
                      read.gain_db,
                      read.loudness_lufs};
      },
      on_news);
}

void RecordingSound::take_opened() {
  try {
    if (auto opened = opening_.take()) {
      sound_.take(std::move(opened->player));
      gain_db_ = opened->gain_db;
      loudness_lufs_ = opened->loudness_lufs;
    }
  } catch (const base::Error& error) {
    sound_.refuse(error.what());
  }
}

void RecordingSound::hold(const std::optional<RecordingPiece>& piece,
                          bool is_held,
                          const base::AtRelease& at_release,
                          const std::function<void()>& on_news) {
  take_opened();
  // After a fault, pressing the key again tries again.
  const bool is_again = is_held && !was_held_ && !sound_.fault().empty();
  was_held_ = is_held;
  if (is_held && piece && !opening_.is_busy() && (opened_ != piece || is_again)) {
    open(*piece, on_news);
  }
  sound_.hold(is_held && piece && opened_ == piece, at_release);
}

std::optional<std::int64_t> RecordingSound::sounding_sample() const noexcept {
  return sound_.is_playing() && opened_ ? std::optional(opened_->from_sample + sound_.position())
                                        : std::nullopt;
}

}  // namespace brink::panel
