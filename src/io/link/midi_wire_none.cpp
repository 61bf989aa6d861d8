#include "base/error.h"
#include "io/link/console_wire.h"

namespace brink::io {

std::unique_ptr<ConsoleWire> make_midi_wire(const cuts::Link& /*link*/) {
  throw base::Error("console: this brink was built without MIDI; use Open Sound Control.");
}

}  // namespace brink::io
