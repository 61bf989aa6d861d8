// Any text as the names of channels: an iXML chunk of a recording, and a names file. What is taken
// is written and taken back the same.

#include <cstdint>
#include <string>
#include <vector>

#include "fuzz/fuzz.h"
#include "io/track_names.h"
#include "show/channel_names.h"

using namespace brink;
using fuzz::demand;

namespace {

void demand_same_again(const show::ChannelNames& names) {
  demand(names.is_empty() || show::ChannelNames::parse(names.text(), "again") == names);
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  constexpr std::size_t kChannels = 8;
  const std::string_view text = fuzz::to_text(data, size);
  const std::vector<std::string> tracks = io::track_names(text, kChannels);
  demand(tracks.size() == kChannels);
  show::ChannelNames suggested;
  for (std::size_t i = 0; i < kChannels; ++i) {
    suggested.suggest(static_cast<int>(i) + 1, tracks[i]);
  }
  demand_same_again(suggested);
  (void)fuzz::is_taken([&] { demand_same_again(show::ChannelNames::parse(text, "text")); });
  return 0;
}
