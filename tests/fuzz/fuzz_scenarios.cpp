// Any text as a list of stages to render, down to what the room is built from. No file that a list
// names is opened: it could be anything on this machine.

#include <cmath>
#include <cstdint>
#include <set>
#include <string>

#include "cli/stage/scenario_list.h"
#include "fuzz/fuzz.h"

using namespace brink;

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const std::set<std::string> kOwn{"silence", "pink", "voice", "music"};
  const std::string text(fuzz::to_text(data, size));
  cli::ScenarioList list;
  if (!fuzz::is_taken([&] { list = cli::parse_scenarios(text, "text"); })) {
    return 0;
  }
  fuzz::demand(!list.clips.empty());
  for (const cli::ScenarioClip& clip : list.clips) {
    (void)fuzz::is_taken([&] {
      const cli::StageWords words = cli::words_of(clip, "text");
      if (words.room_file.empty() && kOwn.contains(words.programme)) {
        const loop::SceneOptions scene = cli::to_scene(words);
        fuzz::demand(std::isfinite(scene.length_s) && std::isfinite(scene.limit_dbfs));
      }
    });
  }
  return 0;
}
