#include "io/link/console_wire.h"

namespace brink::io {

void ConsoleWire::send(const cuts::LinkMessage& message) {
  using Kind = cuts::LinkMessage::Kind;
  switch (message.kind) {
    case Kind::kKeepAlive:
      keep_alive();
      break;
    case Kind::kAsk:
      ask(cuts::control(link_, message.part));
      break;
    case Kind::kSet:
      if (message.part.kind != cuts::LinkPart::Kind::kFader) {
        set(cuts::control(link_, message.part), message.number);
      }
      break;
  }
}

std::unique_ptr<ConsoleWire> make_wire(const cuts::Link& link) {
  if (link.wire == cuts::Link::Wire::kMidi) {
    return make_midi_wire(link);
  }
  return make_osc_wire(link);
}

}  // namespace brink::io
