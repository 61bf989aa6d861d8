#include "show/record_key.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <random>

namespace brink::show {
namespace {

constexpr std::size_t kKeyDigits = 32;

/// FNV-1a, 64 bits (the IETF's draft-eastlake-fnv gives its prime), from any start.
std::uint64_t fnv(std::string_view text, std::uint64_t hash) {
  constexpr std::uint64_t kPrime = 0x100000001B3U;
  for (const char c : text) {
    hash = (hash ^ static_cast<unsigned char>(c)) * kPrime;
  }
  return hash;
}

}  // namespace

std::string new_key() {
  std::random_device entropy;
  std::string key;
  while (key.size() < kKeyDigits) {
    key += fmt::format("{:08x}", static_cast<std::uint32_t>(entropy()));
  }
  return key;
}

bool is_key(std::string_view text) noexcept {
  return text.size() == kKeyDigits && std::all_of(text.begin(), text.end(), [](char c) {
           return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
         });
}

std::string key_of(std::string_view text) {
  constexpr std::uint64_t kStart = 0xCBF29CE484222325U;
  const std::uint64_t first = fnv(text, kStart);
  // With another start value the second half is independent of the first.
  return fmt::format("{:016x}{:016x}", first, fnv(text, ~first));
}

}  // namespace brink::show
