#pragma once

#include <cstddef>

namespace brink::io {

/// One piece of memory that two processes share, and that outlives neither. [any]
class SharedMemory {
 public:
  /// For the parent: new, all zero. Throws base::Error when there is none to be had.
  SharedMemory(const char* name, std::size_t bytes);
  /// For the child: the memory behind a descriptor that it was given. Throws base::Error when that
  /// holds less than `least_bytes`.
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
