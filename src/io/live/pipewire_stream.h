#pragma once

#include <memory>

#include "io/live/input_stream.h"
#include "io/live/pipewire_graph.h"

namespace brink::io {

/// Opens one of the graph's inputs and starts it. Its ports are joined by brink itself, channel by
/// channel, so that no session manager moves them to another source when this one leaves. The
/// stream stays, and is joined again when the source is back. Throws base::Error.
[[nodiscard]] std::unique_ptr<InputStream> open_pipewire_input(
    const CaptureMemory& memory, const InputDevice& input, std::unique_ptr<PipewireGraph> graph);

}  // namespace brink::io
