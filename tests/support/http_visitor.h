#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace brink::tests {

/// A TCP connection to a port of the loopback that speaks HTTP by hand, byte by byte.
class HttpVisitor {
 public:
  /// `receive_bytes`: how much the system takes in before it is read; 0: the usual. Throws
  /// std::runtime_error when nobody listens.
  explicit HttpVisitor(int port, int receive_bytes = 0);
  ~HttpVisitor();
  HttpVisitor(HttpVisitor&& other) noexcept;
  HttpVisitor& operator=(HttpVisitor&&) = delete;
  HttpVisitor(const HttpVisitor&) = delete;
  HttpVisitor& operator=(const HttpVisitor&) = delete;

  /// False when the other side has closed.
  bool send(std::string_view bytes) const;
  /// A GET of that target with the right Host.
  bool get(const std::string& target, const std::string& more_headers = {}) const;

  /// What comes until the other side closes; nothing when it stays open for so long.
  [[nodiscard]] std::optional<std::string> read_all(double patience_s);
  /// What comes until `end` is in it; empty when it does not come in time.
  [[nodiscard]] std::string read_until(std::string_view end, double patience_s);

 private:
  /// False: nothing came in time, or it is over.
  bool read_some(double patience_s);

  int socket_ = -1;
  int port_ = 0;
  std::string unread_;
  bool is_over_ = false;
};

}  // namespace brink::tests
