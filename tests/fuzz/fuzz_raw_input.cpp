// Any bytes on the standard input of `brink listen`, as samples of any form: every whole sample
// comes out once, however much is asked for at a time.

#include <algorithm>
#include <bit>
#include <cstdint>
#include <span>
#include <vector>

#include "fuzz/fuzz.h"
#include "io/live/raw_input.h"

using namespace brink;
using fuzz::demand;

namespace {

std::vector<float> all_of(io::RawInput& input, std::size_t room) {
  std::vector<float> all;
  std::vector<float> samples(room * input.taps().size());
  io::SourceReading reading;
  while (!reading.is_over) {
    reading = input.read(samples);
    const std::size_t count = reading.samples * input.taps().size();
    all.insert(all.end(), samples.begin(), samples.begin() + static_cast<std::ptrdiff_t>(count));
  }
  return all;
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  fuzz::Bytes bytes(std::span(data, size));
  io::RawInputConfig config;
  config.sample_rate_hz = 48000.0;
  config.format = static_cast<io::RawFormat>(bytes.take<std::uint8_t>() % 4U);
  config.channels = bytes.take<std::uint8_t>() % 67U;
  for (unsigned i = bytes.take<std::uint8_t>() % 8U; i > 0; --i) {
    config.taps.push_back(bytes.take<std::uint8_t>() % 67);
  }
  const std::size_t room = 1U + bytes.take<std::uint8_t>();
  const std::span<const std::uint8_t> samples = bytes.take_bytes(size);
  const std::string_view text = fuzz::to_text(samples.data(), samples.size());
  const fuzz::MemoryFile one(text);
  const fuzz::MemoryFile other(text);
  (void)fuzz::is_taken([&] {
    io::RawInput here(one.descriptor(), "stdin", config);
    io::RawInput there(other.descriptor(), "stdin", config);
    const std::vector<float> heard = all_of(here, room);
    const std::size_t stride =
        static_cast<std::size_t>(config.channels) * io::bytes_of(config.format);
    demand(heard.size() == samples.size() / stride * here.taps().size());
    demand(here.left_over_bytes() == samples.size() % stride);
    const std::vector<float> again = all_of(there, 1000);
    demand(std::equal(heard.begin(), heard.end(), again.begin(), again.end(), [](float a, float b) {
      return std::bit_cast<std::uint32_t>(a) == std::bit_cast<std::uint32_t>(b);
    }));
  });
  return 0;
}
