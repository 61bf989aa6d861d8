// For a system without liblo. brink then neither sends Open Sound Control nor takes it, and says
// so.
#include "base/error.h"
#include "io/link/console_wire.h"
#include "io/osc_sender.h"

namespace brink::io {

struct OscSender::State {};

OscSender::OscSender(const std::string& /*target*/) {
  throw base::Error("--osc: this brink was built without Open Sound Control.");
}

OscSender::~OscSender() = default;

bool OscSender::send(const std::string& /*address*/, std::span<const OscValue> /*values*/) {
  return false;
}

std::unique_ptr<ConsoleWire> make_osc_wire(const cuts::Link& /*link*/) {
  throw base::Error("console: this brink was built without Open Sound Control; use MIDI.");
}

}  // namespace brink::io
