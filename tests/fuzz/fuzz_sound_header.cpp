// Any bytes as the first chunks of a sound file: what is said of them holds.

#include <cstdint>

#include "fuzz/fuzz.h"
#include "io/sound_header.h"

using namespace brink;

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const fuzz::MemoryFile file(fuzz::to_text(data, size));
  const auto bytes = static_cast<std::int64_t>(file.bytes());
  const io::SoundHeader header = io::read_sound_header(file.descriptor(), bytes);
  fuzz::demand(header.present_bytes >= 0 && header.present_bytes <= bytes);
  fuzz::demand(header.promised_bytes >= io::kNotStated);
  return 0;
}
