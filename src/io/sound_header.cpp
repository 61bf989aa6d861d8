#include "io/sound_header.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <span>
#include <string_view>
#include <vector>

#include "io/files.h"

namespace brink::io {
namespace {

using Word = std::array<std::uint8_t, 4>;

enum class Order : std::uint8_t { kLittle, kBig };

std::uint64_t to_number(std::span<const std::uint8_t> bytes, Order order) {
  std::uint64_t number = 0;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    number = (number << 8U) | bytes[order == Order::kBig ? i : bytes.size() - 1 - i];
  }
  return number;
}

/// The sample rate of an AIFF file is an 80-bit extended number: sign and exponent (bias 16383) in
/// two bytes, then a 64-bit mantissa with its leading 1 written out.
double extended_to_double(std::span<const std::uint8_t, 10> bytes) {
  const auto exponent = static_cast<int>(to_number(bytes.first<2>(), Order::kBig) & 0x7FFFU);
  const auto mantissa = static_cast<double>(to_number(bytes.last<8>(), Order::kBig));
  return std::ldexp(mantissa, exponent - 16383 - 63);
}

class ChunkWalk {
 public:
  ChunkWalk(int descriptor, std::int64_t file_bytes, Order order)
      : descriptor_(descriptor), file_bytes_(file_bytes), order_(order) {}

  /// Fills `bytes` from `offset`; false when the file ends before.
  bool read(std::int64_t offset, std::span<std::uint8_t> bytes) const {
    return read_at(descriptor_, bytes.data(), bytes.size(), offset) ==
           static_cast<std::ptrdiff_t>(bytes.size());
  }

  void run(SoundHeader& header);
  /// Wave64: names of 16 bytes of which the first four are a WAV's, sizes of 8 with the head's own
  /// 24 bytes, chunks at multiples of 8.
  void run_w64(SoundHeader& header);
  /// CAF: names of 4 bytes, sizes of 8; that of `data` may be -1 for "until the end".
  void run_caf(SoundHeader& header);

 private:
  void take(std::string_view name, std::int64_t body, std::int64_t size, SoundHeader& header);
  void take_samples(std::int64_t body, std::int64_t size, SoundHeader& header) const;

  int descriptor_;
  std::int64_t file_bytes_;
  Order order_;
  std::int64_t long_data_bytes_ = kNotStated;  ///< RF64 keeps the size of `data` elsewhere
};

/// Streaming writers that could not go back leave one of these in the size of `data`.
constexpr std::int64_t kUnknownSize = 0xFFFFFFFF;

constexpr int kMostChunks = 1000;  // a real file has about ten; bounds the work on a hostile one
constexpr std::uint64_t kMostBytes = std::uint64_t{1} << 56U;  // of a chunk; more is no size

void ChunkWalk::run(SoundHeader& header) {
  std::int64_t offset = 12;
  for (int chunk = 0; chunk < kMostChunks && header.promised_bytes == kNotStated; ++chunk) {
    std::array<std::uint8_t, 8> head{};
    if (!read(offset, head)) {
      return;
    }
    const std::string_view name(reinterpret_cast<const char*>(head.data()), 4);
    const auto size = static_cast<std::int64_t>(to_number(std::span(head).subspan(4), order_));
    take(name, offset + 8, size, header);
    offset += 8 + size + size % 2;  // chunks start at even bytes
  }
}

void ChunkWalk::run_w64(SoundHeader& header) {
  constexpr std::int64_t kHead = 24;
  std::int64_t offset = 40;  // one head, and the name of the kind
  for (int chunk = 0; chunk < kMostChunks && header.promised_bytes == kNotStated; ++chunk) {
    std::array<std::uint8_t, kHead> head{};
    if (!read(offset, head)) {
      return;
    }
    const std::string_view name(reinterpret_cast<const char*>(head.data()), 4);
    const std::uint64_t stated = to_number(std::span(head).subspan(16, 8), order_);
    if (stated < kHead || stated > kMostBytes) {
      // Nothing comes after a chunk of this size. Of samples it is still a promise.
      if (name == "data") {
        take_samples(offset + kHead, INT64_MAX, header);
      }
      return;
    }
    const auto size = static_cast<std::int64_t>(stated);
    take(name, offset + kHead, size - kHead, header);
    offset += (size + 7) / 8 * 8;
  }
}

void ChunkWalk::run_caf(SoundHeader& header) {
  constexpr std::int64_t kHead = 12;
  std::int64_t offset = 8;
  for (int chunk = 0; chunk < kMostChunks && header.promised_bytes == kNotStated; ++chunk) {
    std::array<std::uint8_t, kHead> head{};
    if (!read(offset, head)) {
      return;
    }
    const std::string_view name(reinterpret_cast<const char*>(head.data()), 4);
    const auto size = static_cast<std::int64_t>(to_number(std::span(head).subspan(4, 8), order_));
    const std::int64_t body = offset + kHead;
    constexpr std::int64_t kEditCount = 4;  // before the samples
    std::array<std::uint8_t, 32> bytes{};
    if (name == "data") {
      take_samples(body + kEditCount, size < 0 ? size : size - kEditCount, header);
    } else if (name == "desc" && read(body, bytes)) {
      const auto view = std::span(bytes);
      header.sample_rate_hz = std::bit_cast<double>(to_number(view.first(8), order_));
      header.channels = static_cast<std::int64_t>(to_number(view.subspan(24, 4), order_));
    }
    if (size < 0 || static_cast<std::uint64_t>(size) > kMostBytes) {
      return;
    }
    offset = body + size;
  }
}

void ChunkWalk::take(std::string_view name,
                     std::int64_t body,
                     std::int64_t size,
                     SoundHeader& header) {
  std::array<std::uint8_t, 28> bytes{};
  const auto view = std::span(bytes);
  if (name == "fmt " && read(body, view.first(8))) {
    header.format_tag = static_cast<std::int64_t>(to_number(view.first(2), order_));
    header.channels = static_cast<std::int64_t>(to_number(view.subspan(2, 2), order_));
    header.sample_rate_hz = static_cast<double>(to_number(view.subspan(4, 4), order_));
  } else if (name == "COMM" && read(body, view.first(18))) {
    header.channels = static_cast<std::int64_t>(to_number(view.first(2), order_));
    header.sample_rate_hz = extended_to_double(view.subspan<8, 10>());
  } else if (name == "ds64" && read(body, view)) {
    const std::uint64_t stated = to_number(view.subspan(8, 8), order_);
    long_data_bytes_ =
        static_cast<std::int64_t>(std::min(stated, static_cast<std::uint64_t>(INT64_MAX)));
  } else if (name == "data") {
    take_samples(body, size == kUnknownSize ? long_data_bytes_ : size, header);
  } else if (name == "SSND") {
    take_samples(body + 8, size - 8, header);  // offset and block size come first
  }
}

void ChunkWalk::take_samples(std::int64_t body, std::int64_t size, SoundHeader& header) const {
  const std::int64_t left = std::max<std::int64_t>(0, file_bytes_ - body);
  header.promised_bytes = size < 0 ? left : size;
  header.present_bytes = std::min(header.promised_bytes, left);
}

void take_flac(const ChunkWalk& walk, SoundHeader& header) {
  std::array<std::uint8_t, 3> bytes{};
  if (!walk.read(18, bytes)) {  // marker 4, block header 4, ten bytes of block and frame sizes
    return;
  }
  const std::uint64_t packed = to_number(bytes, Order::kBig);  // rate 20 bits, channels - 1 in 3
  header.sample_rate_hz = static_cast<double>(packed >> 4U);
  header.channels = static_cast<std::int64_t>((packed >> 1U) & 7U) + 1;
}

/// Whether the last page is there as a whole and says that its stream ends with it. A page: "OggS",
/// version, flags (4: the last), 20 bytes, the number of segments, the length of each, the
/// segments.
bool has_ogg_end(const ChunkWalk& walk, std::int64_t file_bytes) {
  constexpr std::int64_t kLongestPage = 27 + 255 + 255 * 255;
  constexpr std::size_t kHead = 27;
  const std::int64_t from = std::max<std::int64_t>(0, file_bytes - kLongestPage);
  std::vector<std::uint8_t> tail(static_cast<std::size_t>(file_bytes - from));
  if (!walk.read(from, tail)) {
    return false;
  }
  const std::string_view text(reinterpret_cast<const char*>(tail.data()), tail.size());
  const std::size_t at = text.rfind("OggS");
  if (at == std::string_view::npos || at + kHead > tail.size()) {
    return false;
  }
  const std::size_t segments = tail[at + kHead - 1];
  std::size_t length = kHead + segments;
  for (std::size_t i = 0; i < segments && at + kHead + i < tail.size(); ++i) {
    length += tail[at + kHead + i];
  }
  return (tail[at + 5] & 4U) != 0 && at + length <= tail.size();
}

}  // namespace

SoundHeader read_sound_header(int descriptor, std::int64_t file_bytes) noexcept {
  SoundHeader header;
  std::array<std::uint8_t, 12> head{};
  ChunkWalk little(descriptor, file_bytes, Order::kLittle);
  ChunkWalk big(descriptor, file_bytes, Order::kBig);
  if (!little.read(0, head)) {
    return header;
  }
  const std::string_view text(reinterpret_cast<const char*>(head.data()), head.size());
  const std::string_view outer = text.substr(0, 4);
  const std::string_view inner = text.substr(8, 4);
  if ((outer == "RIFF" || outer == "RF64") && inner == "WAVE") {
    header.container = SoundContainer::kWav;
    little.run(header);
  } else if (outer == "RIFX" && inner == "WAVE") {
    header.container = SoundContainer::kWav;
    big.run(header);
  } else if (outer == "FORM" && (inner == "AIFF" || inner == "AIFC")) {
    header.container = SoundContainer::kAiff;
    big.run(header);
  } else if (outer == "riff" && file_bytes >= 40) {
    std::array<std::uint8_t, 4> kind{};
    if (little.read(24, kind) &&
        std::string_view(reinterpret_cast<const char*>(kind.data()), 4) == "wave") {
      header.container = SoundContainer::kW64;
      little.run_w64(header);
    }
  } else if (outer == "caff") {
    header.container = SoundContainer::kCaf;
    big.run_caf(header);
  } else if (outer == "OggS") {
    header.container = SoundContainer::kOgg;
    header.is_cut_short = !has_ogg_end(big, file_bytes);
  } else if (outer == "fLaC") {
    header.container = SoundContainer::kFlac;
    take_flac(big, header);
  }
  return header;
}

}  // namespace brink::io
