#pragma once

#include <bit>
#include <cstdint>
#include <span>

namespace brink::tests {

/// FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo) over the bits of samples. With it a test recognises a
/// block without keeping it.
[[nodiscard]] inline std::uint64_t block_hash(std::span<const float> block) noexcept {
  std::uint64_t hash = 14695981039346656037ULL;
  for (const float sample : block) {
    hash = (hash ^ std::bit_cast<std::uint32_t>(sample)) * 1099511628211ULL;
  }
  return hash;
}

}  // namespace brink::tests
