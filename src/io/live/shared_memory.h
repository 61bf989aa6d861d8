#pragma once

#include <cstddef>

namespace brink::io {

/// Memory that two processes share. It is gone when both have ended. [any]
class SharedMemory {
 public:
  /// For the parent: new memory, all zero. Throws base::Error when there is none.
  SharedMemory(const char* name, std::size_t bytes);
  /// For the child: the memory behind a descriptor that the parent gave it. Throws base::Error when
  /// it has less than `least_bytes`.
  SharedMemory(int descriptor, std::size_t least_bytes);
  ~SharedMemory();
  SharedMemory(const SharedMemory&) = delete;
  SharedMemory& operator=(const SharedMemory&) = delete;
  SharedMemory(SharedMemory&&) = delete;
  SharedMemory& operator=(SharedMemory&&) = delete;

  [[nodiscard]] int descriptor() const noexcept { return descriptor_; }

  [[nodiscard]] void* data() const noexcept { return data_; }

  [[nodiscard]] std::size_t bytes() const noexcept { return bytes_; }

 private:
  void map();

  int descriptor_ = -1;
  std::size_t bytes_ = 0;
  void* data_ = nullptr;
};

}  // namespace brink::io
