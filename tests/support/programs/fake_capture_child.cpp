// A capture child without a sound system. The name of the input says what it does. Sample i of
// channel c is (c + 1) * (i % 1000 + 1) / 1024. This is exact in a float, so a test sees which
// samples came. It reports its script as the name of the input, so that the same script is asked
// for again.
//
//   run            48 kHz in blocks of 256, in real time
//   flood N        N blocks at once, then none
//   vanish N FILE  N blocks, then it is gone; while FILE exists, it goes on
//   freeze N MS    N blocks, then a pause, then it goes on
//   refuse         says why it cannot capture
//   die            ends without a word
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <sstream>
#include <string>
#include <thread>
#include <vector>

#include "io/live/capture_memory.h"
#include "io/live/capture_writer.h"
#include "io/live/child_process.h"

using namespace brink;

namespace {

constexpr std::size_t kBlockSamples = 256;

/// Hands over blocks as a sound card would.
class Device {
 public:
  explicit Device(const io::CaptureMemory& memory)
      : writer_(memory),
        channels_(memory.header().request.channel_count),
        block_(kBlockSamples * channels_),
        next_(std::chrono::steady_clock::now()) {}

  void block() {
    for (std::size_t i = 0; i < kBlockSamples; ++i, ++index_) {
      for (std::size_t c = 0; c < channels_; ++c) {
        block_[i * channels_ + c] = static_cast<float>((c + 1) * (index_ % 1000 + 1)) / 1024.0F;
      }
    }
    writer_.on_block(block_.data(), kBlockSamples);
  }

  /// Hands over one block in real time. Ends this process when the parent is gone.
  void paced_block() {
    next_ += std::chrono::microseconds(5333);
    std::this_thread::sleep_until(next_);
    if (io::has_parent_left(0)) {
      _exit(0);
    }
    block();
  }

  void pause(int pause_ms) {
    std::this_thread::sleep_for(std::chrono::milliseconds(pause_ms));
    next_ = std::chrono::steady_clock::now();
  }

 private:
  io::CaptureWriter writer_;
  std::size_t channels_;
  std::vector<float> block_;
  std::size_t index_ = 0;
  std::chrono::steady_clock::time_point next_;
};

void start(const io::CaptureMemory& memory) {
  io::CaptureHeader& header = memory.header();
  header.sample_rate_hz = 48000.0;
  header.name = header.request.input;
  header.is_active.store(true);
  header.phase.store(io::CapturePhase::kRunning, std::memory_order_release);
}

int refuse(const io::CaptureMemory& memory) {
  io::put_text(memory.header().sentence, "The input is out of order.");
  memory.header().phase.store(io::CapturePhase::kRefused, std::memory_order_release);
  return 1;
}

}  // namespace

int main() {
  const io::CaptureMemory memory(io::memory_of_parent());
  std::istringstream script(io::to_string(memory.header().request.input));
  std::string what;
  int blocks = 0;
  script >> what >> blocks;
  if (what == "refuse") {
    return refuse(memory);
  }
  if (what == "die") {
    return 3;
  }
  std::string file;
  int pause_ms = 0;
  if (what == "vanish") {
    script >> file;
  } else if (what == "freeze") {
    script >> pause_ms;
  }
  start(memory);
  Device device(memory);
  for (int i = 0; i < blocks; ++i) {
    what == "flood" ? device.block() : device.paced_block();
  }
  while (what == "flood") {
    device.pause(1);
    if (io::has_parent_left(0)) {
      _exit(0);
    }
  }
  if (what == "vanish" && !std::filesystem::exists(file)) {
    return 0;
  }
  device.pause(pause_ms);
  for (;;) {
    device.paced_block();
  }
}
