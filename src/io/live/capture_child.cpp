#include "io/live/capture_child.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdlib>
#include <memory>
#include <string_view>
#include <thread>
#include <utility>
#include <vector>

#include "base/error.h"
#include "io/files.h"
#include "io/live/capture_memory.h"
#include "io/live/child_process.h"
#include "io/live/inputs.h"
#include "io/live/jack_graph.h"
#include "io/live/pipewire_graph.h"
#include "io/live/pipewire_stream.h"
#include "io/live/portaudio_inputs.h"
#include "io/live/sound_systems.h"

namespace brink::io {
namespace {

using base::Error;
using std::chrono::milliseconds;

constexpr milliseconds kLook(20);  // how often the input is looked after
constexpr milliseconds kJoinedWithin(1000);

void refuse(CaptureHeader& header, const Error& error) {
  put_text(header.sentence, error.what());
  header.phase.store(CapturePhase::kRefused, std::memory_order_release);
}

/// Until the ports are joined, so that a running input is not told as one that has left.
void wait_until_joined(InputStream& stream, CaptureHeader& header) {
  const auto until = std::chrono::steady_clock::now() + kJoinedWithin;
  stream.look_after(header);
  while (!header.is_joined.load() && std::chrono::steady_clock::now() < until) {
    std::this_thread::sleep_for(kLook);
    stream.look_after(header);
  }
}

void capture_from(InputStream& stream,
                  const InputDevice& input,
                  CaptureHeader& header,
                  const std::atomic<bool>& is_wanted) {
  wait_until_joined(stream, header);
  header.sample_rate_hz = stream.sample_rate_hz();
  put_text(header.name, input.label());
  put_text(header.id, input.id.empty() ? input.label() : input.id);
  header.is_active.store(true);
  header.phase.store(CapturePhase::kRunning, std::memory_order_release);
  while (is_wanted.load()) {
    if (!stream.is_active()) {
      header.is_active.store(false);
      // With a dead server nothing can be closed, so nothing is closed. The parent sees that this
      // process ended.
      std::_Exit(0);
    }
    stream.look_after(header);
    std::this_thread::sleep_for(kLook);
  }
}

/// All inputs of this machine, by what opens them.
struct AllInputs {
  std::unique_ptr<PipewireGraph> pipewire;  // nullptr: no such server
  std::vector<InputDevice> inputs;
  std::vector<int> portaudio_numbers;  // of the last of `inputs`

  [[nodiscard]] std::unique_ptr<InputStream> open(const CaptureMemory& memory,
                                                  const InputDevice& input) {
    const std::size_t first = inputs.size() - portaudio_numbers.size();
    const auto at = static_cast<std::size_t>(&input - inputs.data());
    return at < first ? open_pipewire_input(memory, input, std::move(pipewire))
                      : open_portaudio_input(memory, input, portaudio_numbers[at - first]);
  }
};

/// What PortAudio offers of a PipeWire server is there already, by its right name.
bool is_of_pipewire(const InputDevice& input, const std::vector<InputDevice>& known) {
  if (input.api == kJackName) {
    return is_jack_of_pipewire() &&
           std::any_of(known.begin(), known.end(), [&](const InputDevice& one) {
             return one.name == input.name || one.name == "Monitor of " + input.name;
           });
  }
  constexpr std::array<std::string_view, 4> kBridges{"default", "sysdefault", "pipewire", "pulse"};
  return std::find(kBridges.begin(), kBridges.end(), input.name) != kBridges.end();
}

/// The default of a JACK server comes first, since somebody started it for a purpose. Then that of
/// the desktop.
void choose_default(std::vector<InputDevice>& inputs) {
  const auto mark = [&](const auto& is_wanted) {
    const auto found = std::find_if(inputs.begin(), inputs.end(), is_wanted);
    if (found == inputs.end()) {
      return false;
    }
    for (InputDevice& input : inputs) {
      input.is_default = &input == &*found;
    }
    return true;
  };
  static_cast<void>(mark([](const InputDevice& input) {
                      return input.is_default && input.api == kJackName && !is_jack_of_pipewire();
                    }) ||
                    mark([](const InputDevice& input) {
                      return input.is_default && input.api == kPipewireName;
                    }) ||
                    mark([](const InputDevice& input) { return input.is_default; }) ||
                    mark([](const InputDevice& input) { return !input.is_monitor; }));
}

/// Needs PortAudio's systems.
AllInputs all_inputs() {
  AllInputs all;
  all.pipewire = PipewireGraph::find();
  if (all.pipewire) {
    all.inputs = all.pipewire->inputs();
  }
  const std::vector<InputDevice> known = all.inputs;
  for (const InputDevice& input : portaudio_inputs()) {
    if (!all.pipewire || !is_of_pipewire(input, known)) {
      all.inputs.push_back(input);
      all.portaudio_numbers.push_back(input.number);
    }
  }
  int number = 0;
  for (InputDevice& input : all.inputs) {
    input.number = number++;
  }
  choose_default(all.inputs);
  return all;
}

/// A PipeWire input that is opened again needs no other sound system, and so it is back sooner.
/// False when it is none.
bool capture_again_from_pipewire(const CaptureMemory& memory, const std::atomic<bool>& is_wanted) {
  const std::string id = to_string(memory.header().request.input);
  std::unique_ptr<PipewireGraph> graph = PipewireGraph::find();
  if (!graph) {
    return false;
  }
  for (const InputDevice& input : graph->inputs()) {
    if (input.id == id) {
      const auto stream = open_pipewire_input(memory, input, std::move(graph));
      capture_from(*stream, input, memory.header(), is_wanted);
      return true;
    }
  }
  return false;
}

}  // namespace

int run_capture_child() {
  const CaptureMemory memory(memory_of_parent());
  CaptureHeader& header = memory.header();
  const std::atomic<bool>& is_wanted = follow_parent();
  try {
    if (header.request.is_again && capture_again_from_pipewire(memory, is_wanted)) {
      return 0;
    }
  } catch (const Error& error) {
    refuse(header, error);
    return 1;
  }
  return run_sound_child(
      "brink",
      [&] {
        AllInputs all = all_inputs();
        const InputDevice& input = find_input(all.inputs, to_string(header.request.input));
        const auto stream = all.open(memory, input);
        capture_from(*stream, input, header, is_wanted);
      },
      [&](const Error& error) { refuse(header, error); });
}

int run_list_child() {
  static_cast<void>(follow_parent());
  try {
    const SoundSystems systems("brink");
    return write_all(kStdout, "ok\n" + to_lines(all_inputs().inputs)) ? 0 : 1;
  } catch (const Error& error) {
    return write_all(kStdout, std::string(error.what()) + "\n") ? 1 : 2;
  }
}

}  // namespace brink::io
