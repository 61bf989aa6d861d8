#pragma once

#include <cstddef>
#include <functional>
#include <string>

#include "io/page/page_address.h"
#include "io/page/socket.h"

namespace brink::io {

/// A connection that has sent the whole head of a request.
struct WholeRequest {
  Socket socket;
  std::string head;  ///< up to and with its empty line; a body is not read
};

/// Where connections come in. It waits on one thread until each has sent the head of its request,
/// so that whoever sends slowly, or nothing, holds no thread and delays nobody. Its limits: see
/// below. When one more connection comes than may wait, the one that waits longest is closed.
class RequestDoor {
 public:
  static constexpr std::size_t kMostWaiting = 64;
  static constexpr std::size_t kLongestHead = 8192;
  static constexpr double kPatienceS = 3.0;

  /// Listens from now on. Throws base::Error when the address cannot be had. Port 0 becomes the one
  /// that was given.
  explicit RequestDoor(const PageAddress& address);

  [[nodiscard]] const PageAddress& address() const noexcept { return address_; }

  /// Hands out each whole request, on this thread, until close().
  void run(const std::function<void(WholeRequest)>& take);

  /// Makes run() return soon. [any]
  void close() noexcept;

 private:
  PageAddress address_;
  Socket listener_;
  Socket bell_;
};

}  // namespace brink::io
