#pragma once

#include <netdb.h>

#include <memory>
#include <string>

namespace brink::io {

/// Where UDP packets go.
class UdpAddress {
 public:
  /// `text`: HOST:PORT, for instance "127.0.0.1:9000", "desk.local:9000" or "[::1]:9000". A name
  /// with addresses of both kinds gets IPv4: most receivers listen there. Throws base::Error, whose
  /// sentence begins with `who`, when it is none or the host has no address. May wait for the
  /// network.
  UdpAddress(const std::string& text, const std::string& who);

  [[nodiscard]] const sockaddr* address() const noexcept { return chosen_->ai_addr; }

  [[nodiscard]] socklen_t bytes() const noexcept { return chosen_->ai_addrlen; }

  [[nodiscard]] int family() const noexcept { return chosen_->ai_family; }

  /// The other one is the same host, on whichever port.
  [[nodiscard]] bool is_host_of(const sockaddr& other) const noexcept;

 private:
  struct Free {
    void operator()(addrinfo* first) const noexcept { freeaddrinfo(first); }
  };

  std::unique_ptr<addrinfo, Free> found_;
  const addrinfo* chosen_ = nullptr;
};

}  // namespace brink::io
