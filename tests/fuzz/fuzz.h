#pragma once

#include <sys/mman.h>
#include <unistd.h>

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <span>
#include <string>
#include <string_view>

#include "base/error.h"
#include "io/whole_file.h"

namespace brink::fuzz {

/// Ends the run when a promise is broken; the fuzzer then keeps the input.
inline void demand(bool is_so) {
  if (!is_so) {
    std::abort();
  }
}

[[nodiscard]] inline std::string_view to_text(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

/// What every message for the user must be: one sentence on one line. Letters that could steer a
/// terminal are taken out where it is printed.
[[nodiscard]] inline bool is_sentence(std::string_view text) {
  return text.size() > 1 && text.back() == '.' && text.find('\n') == std::string_view::npos;
}

/// Calls `read`; false when it refuses its input, which it may do in one sentence alone.
template <typename Read>
bool is_taken(Read read) {
  try {
    read();
    return true;
  } catch (const base::Error& refusal) {
    demand(is_sentence(refusal.what()));
    return false;
  }
}

/// The input, number by number.
class Bytes {
 public:
  explicit Bytes(std::span<const std::uint8_t> bytes) : bytes_(bytes) {}

  [[nodiscard]] bool is_over() const { return bytes_.empty(); }

  /// The next number, little-endian; zeros after the end.
  template <typename Number>
  Number take() {
    Number number{};
    const std::span<const std::uint8_t> raw = take_bytes(sizeof number);
    if (!raw.empty()) {
      std::memcpy(&number, raw.data(), raw.size());
    }
    return number;
  }

  /// So many bytes, or as many as are left.
  std::span<const std::uint8_t> take_bytes(std::size_t count) {
    const std::span<const std::uint8_t> taken = bytes_.first(std::min(count, bytes_.size()));
    bytes_ = bytes_.subspan(taken.size());
    return taken;
  }

 private:
  std::span<const std::uint8_t> bytes_;
};

/// A file in memory with these bytes, for readers that take a path.
class MemoryFile {
 public:
  explicit MemoryFile(std::string_view bytes)
      : descriptor_(memfd_create("fuzz", MFD_CLOEXEC)), bytes_(bytes.size()) {
    if (descriptor_ < 0 || !io::write_all(descriptor_, bytes) ||
        lseek(descriptor_, 0, SEEK_SET) != 0) {
      std::_Exit(1);  // no memory left: not a fault of what is tried
    }
  }

  ~MemoryFile() { close(descriptor_); }

  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;
  MemoryFile(MemoryFile&&) = delete;
  MemoryFile& operator=(MemoryFile&&) = delete;

  [[nodiscard]] int descriptor() const { return descriptor_; }

  [[nodiscard]] std::size_t bytes() const { return bytes_; }

  [[nodiscard]] std::string path() const { return "/proc/self/fd/" + std::to_string(descriptor_); }

 private:
  int descriptor_;
  std::size_t bytes_;
};

}  // namespace brink::fuzz
