#pragma once

#include <memory>
#include <span>
#include <string>

#include "io/osc_message.h"

namespace brink::io {

/// Sends Open Sound Control 1.0 messages, one in each UDP packet. UDP does not tell whether they
/// arrive. [any, one at a time]
class OscSender {
 public:
  /// `target`: HOST:PORT, as UdpAddress takes it. Throws base::Error when the text is not a target
  /// or the host has no address.
  explicit OscSender(const std::string& target);
  ~OscSender();
  OscSender(const OscSender&) = delete;
  OscSender& operator=(const OscSender&) = delete;
  OscSender(OscSender&&) = delete;
  OscSender& operator=(OscSender&&) = delete;

  /// `address` begins with a slash. Returns false, with errno set, when the network did not
  /// take the message.
  bool send(const std::string& address, std::span<const OscValue> values);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::io
