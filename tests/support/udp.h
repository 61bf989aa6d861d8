#pragma once

#include <string>

namespace brink::tests {

/// A UDP port of this machine's loopback, chosen by the system.
class UdpReceiver {
 public:
  UdpReceiver();
  ~UdpReceiver();
  UdpReceiver(const UdpReceiver&) = delete;
  UdpReceiver& operator=(const UdpReceiver&) = delete;
  UdpReceiver(UdpReceiver&&) = delete;
  UdpReceiver& operator=(UdpReceiver&&) = delete;

  [[nodiscard]] int port() const { return port_; }

  /// The next packet; empty when none came within two seconds.
  [[nodiscard]] std::string receive() const;

 private:
  int socket_ = -1;
  int port_ = 0;
};

}  // namespace brink::tests
