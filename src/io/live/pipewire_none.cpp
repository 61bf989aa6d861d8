// For a system without PipeWire: no server is ever found.
#include "base/error.h"
#include "io/live/pipewire_graph.h"
#include "io/live/pipewire_stream.h"

namespace brink::io {

struct PipewireGraph::State {};

std::unique_ptr<PipewireGraph> PipewireGraph::find() {
  return nullptr;
}

PipewireGraph::~PipewireGraph() = default;

std::vector<InputDevice> PipewireGraph::inputs() const {
  return {};
}

std::unique_ptr<InputStream> open_pipewire_input(const CaptureMemory& /*memory*/,
                                                 const InputDevice& /*input*/,
                                                 std::unique_ptr<PipewireGraph> /*graph*/) {
  throw base::Error("This brink was built without PipeWire.");
}

}  // namespace brink::io
