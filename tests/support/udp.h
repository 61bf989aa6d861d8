#pragma once

#include <string>

namespace brink::tests {

/// A UDP port on this machine's loopback; the system chooses the number.
class UdpReceiver {
 public:
  enum class Kind { kIpv4, kIpv6 };

  /// Throws std::runtime_error when the machine has no such loopback.
  explicit UdpReceiver(Kind kind = Kind::kIpv4);
  ~UdpReceiver();
  UdpReceiver(const UdpReceiver&) = delete;
  UdpReceiver& operator=(const UdpReceiver&) = delete;
  UdpReceiver(UdpReceiver&&) = delete;
  UdpReceiver& operator=(UdpReceiver&&) = delete;

  [[nodiscard]] int port() const { return port_; }

  /// The next packet. Empty when none comes within two seconds.
  [[nodiscard]] std::string receive() const;

 private:
  int socket_ = -1;
  int port_ = 0;
};

}  // namespace brink::tests
