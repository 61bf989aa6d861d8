#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "cuts/link/link.h"
#include "cuts/link/link_message.h"

namespace brink::io {

/// Something that came from a console.
struct ConsoleWord {
  std::string place;  ///< an address, or "channel 1 controller 7"
  std::string words;  ///< its arguments, for people
  std::optional<double> number;
  std::optional<cuts::LinkPart> part;  ///< of the link, where the place is one
};

/// The way to a console and back, by Open Sound Control or MIDI. What a link does not name is never
/// sent to, and the fader is never set. [one thread]
class ConsoleWire {
 public:
  virtual ~ConsoleWire() = default;
  ConsoleWire(const ConsoleWire&) = delete;
  ConsoleWire& operator=(const ConsoleWire&) = delete;
  ConsoleWire(ConsoleWire&&) = delete;
  ConsoleWire& operator=(ConsoleWire&&) = delete;

  /// Tries to open it; may wait for the network. Throws base::Error with why it cannot be.
  virtual void open() = 0;
  [[nodiscard]] virtual bool is_open() = 0;

  /// While it is open. A message that cannot be sent is lost, as on any network.
  void send(const cuts::LinkMessage& message);

  using Take = std::function<void(const ConsoleWord&)>;
  /// Waits up to that long for something, and hands out all that came.
  virtual void receive(double wait_s, const Take& take) = 0;

 protected:
  explicit ConsoleWire(const cuts::Link& link) : link_(link) {}

  [[nodiscard]] const cuts::Link& link() const noexcept { return link_; }

  virtual void ask(const cuts::LinkControl& control) = 0;
  virtual void set(const cuts::LinkControl& control, double number) = 0;
  virtual void keep_alive() = 0;

 private:
  cuts::Link link_;
};

/// Each throws base::Error in a brink that was built without it: MIDI comes with live audio, and
/// Open Sound Control is not had on Windows.
[[nodiscard]] std::unique_ptr<ConsoleWire> make_midi_wire(const cuts::Link& link);
[[nodiscard]] std::unique_ptr<ConsoleWire> make_osc_wire(const cuts::Link& link);

/// The wire that the link asks for. Throws base::Error where there is none of its kind.
[[nodiscard]] std::unique_ptr<ConsoleWire> make_wire(const cuts::Link& link);

}  // namespace brink::io
