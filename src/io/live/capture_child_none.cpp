// For a build without PortAudio. It can listen to stdin and to files, but cannot capture or play,
// and says so.
#include <string>

#include "io/files.h"
#include "io/live/capture_child.h"
#include "io/live/capture_memory.h"
#include "io/live/child_process.h"
#include "io/live/play_child.h"
#include "io/live/play_memory.h"

namespace brink::io {
namespace {

constexpr const char* kSentence = "This build of brink has no live audio; it was made without it.";

}  // namespace

int run_capture_child() {
  const CaptureMemory memory(memory_of_parent());
  put_text(memory.header().sentence, kSentence);
  memory.header().phase.store(CapturePhase::kRefused, std::memory_order_release);
  return 1;
}

int run_play_child() {
  const PlayMemory memory(memory_of_parent());
  put_text(memory.header().sentence, kSentence);
  memory.header().phase.store(PlayPhase::kRefused, std::memory_order_release);
  return 1;
}

int run_list_child() {
  return write_all(kStdout, std::string(kSentence) + "\n") ? 1 : 2;
}

}  // namespace brink::io
