#pragma once

#include <memory>
#include <vector>

#include "io/live/input_stream.h"
#include "io/live/inputs.h"

namespace brink::io {

// PortAudio's inputs: cards, and JACK clients. SoundSystems must be alive.

/// In PortAudio's order; `number` is PortAudio's. The default is the JACK server's if one runs.
[[nodiscard]] std::vector<InputDevice> portaudio_inputs();

/// Opens the input with PortAudio's number and starts it. Throws base::Error.
[[nodiscard]] std::unique_ptr<InputStream> open_portaudio_input(const CaptureMemory& memory,
                                                                const InputDevice& input,
                                                                int number);

}  // namespace brink::io
