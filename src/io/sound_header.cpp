#include "io/sound_header.h"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <string_view>

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
    return pread(descriptor_, bytes.data(), bytes.size(), offset) ==
           static_cast<ssize_t>(bytes.size());
  }

  void run(SoundHeader& header);

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

void ChunkWalk::run(SoundHeader& header) {
  constexpr int kMostChunks = 1000;  // a real file has about ten; bounds the work on a hostile one
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
  } else if (outer == "fLaC") {
    header.container = SoundContainer::kFlac;
    take_flac(big, header);
  }
  return header;
}

}  // namespace brink::io
