// For a system whose PortAudio knows no JACK server: it never reports one, so none of this is
// reached.
#include "base/error.h"
#include "io/live/jack_graph.h"

namespace brink::io {

void name_jack_client(const char* /*name*/) {}

bool is_jack_of_pipewire() {
  return false;
}

JackGraph::JackGraph() : client_(nullptr) {
  throw base::Error("This brink was built without JACK.");
}

JackGraph::~JackGraph() = default;

JackGraph::Missing JackGraph::look(std::size_t /*sample_count*/, bool /*is_late*/) noexcept {
  return {};
}

void JackGraph::keep_joined(CaptureHeader& /*header*/) {}

}  // namespace brink::io
