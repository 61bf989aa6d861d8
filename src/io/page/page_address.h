#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace brink::io {

/// Where the page is served: one IPv4 address of this machine, and a port.
struct PageAddress {
  /// Above the ports that the system gives out by itself, and registered for nothing (IANA: private
  /// use).
  static constexpr std::uint16_t kUsualPort = 61017;

  std::string host;  ///< in digits: "192.168.1.20"
  std::uint16_t port = kUsualPort;

  /// "192.168.1.20:61017"
  [[nodiscard]] std::string text() const;
};

/// ADDRESS or ADDRESS:PORT, the address in digits. Port 0 means a free one. Throws base::Error on
/// anything else, and on 0.0.0.0: whoever serves a page says on which network.
[[nodiscard]] PageAddress to_page_address(const std::string& text);

/// An address that this machine has on a network.
struct LocalAddress {
  std::string host;
  std::string network;  ///< name of the interface
  bool is_wireless = false;
};

/// The IPv4 addresses of all networks that are up, without the loopback.
[[nodiscard]] std::vector<LocalAddress> local_addresses();

/// The first that is on a wireless network, as telephones are, or else the first; usual port.
/// Throws base::Error when there is none.
[[nodiscard]] PageAddress choose_page_address(const std::vector<LocalAddress>& all);

}  // namespace brink::io
