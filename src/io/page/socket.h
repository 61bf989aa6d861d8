#pragma once

#include <unistd.h>

#include <utility>

namespace brink::io {

/// Owns a descriptor; -1: none.
class Socket {
 public:
  explicit Socket(int descriptor = -1) noexcept : descriptor_(descriptor) {}

  ~Socket() {
    if (descriptor_ >= 0) {
      ::close(descriptor_);
    }
  }

  Socket(Socket&& other) noexcept : descriptor_(std::exchange(other.descriptor_, -1)) {}

  Socket& operator=(Socket&& other) noexcept {
    std::swap(descriptor_, other.descriptor_);
    return *this;
  }

  Socket(const Socket&) = delete;
  Socket& operator=(const Socket&) = delete;

  [[nodiscard]] int descriptor() const noexcept { return descriptor_; }

  [[nodiscard]] bool is_open() const noexcept { return descriptor_ >= 0; }

 private:
  int descriptor_;
};

}  // namespace brink::io
