#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <variant>

namespace brink::io {

/// One argument of a message: types i, f and s of Open Sound Control 1.0.
using OscValue = std::variant<std::int32_t, float, std::string>;

/// Sends Open Sound Control 1.0 messages, one in each UDP packet. UDP does not tell whether they
/// arrive. [any, one at a time]
class OscSender {
 public:
  /// `target`: HOST:PORT, for instance "127.0.0.1:9000", "desk.local:9000" or "[::1]:9000". Throws
  /// base::Error when the text is not a target or the host has no address. A name with addresses of
  /// both kinds gets IPv4.
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
