#pragma once

#include <map>
#include <optional>
#include <string>

#include "io/link/console_wire.h"
#include "io/osc_message.h"
#include "io/udp_address.h"

namespace brink::io {

/// Open Sound Control 1.0 over UDP. A number is asked for by its address without an argument. Only
/// packets from the console's own host count.
class OscWire final : public ConsoleWire {
 public:
  explicit OscWire(const cuts::Link& link);
  ~OscWire() override;
  OscWire(const OscWire&) = delete;
  OscWire& operator=(const OscWire&) = delete;
  OscWire(OscWire&&) = delete;
  OscWire& operator=(OscWire&&) = delete;

  void open() override;

  [[nodiscard]] bool is_open() override { return socket_ >= 0; }

  void receive(double wait_s, const Take& take) override;

 private:
  void ask(const cuts::LinkControl& control) override;
  void set(const cuts::LinkControl& control, double number) override;
  void keep_alive() override;
  void send_packet(const std::string& address, const std::optional<OscValue>& value);
  bool receive_one(const Take& take);

  std::map<std::string, cuts::LinkPart> places_;
  std::optional<UdpAddress> console_;
  int socket_ = -1;
};

}  // namespace brink::io
