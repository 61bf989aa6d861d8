#include "io/page/page_secret.h"

#include <array>
#include <cstddef>
#include <exception>
#include <random>

#include "base/error.h"

namespace brink::io {
namespace {

constexpr std::size_t kBytes = 16;
constexpr std::size_t kBitsOfLetter = 5;
constexpr std::size_t kLetters = (8 * kBytes + kBitsOfLetter - 1) / kBitsOfLetter;
constexpr std::string_view kAlphabet = "0123456789abcdefghjkmnpqrstvwxyz";

}  // namespace

std::string new_page_secret() {
  std::array<unsigned char, kBytes> bytes{};
  try {
    std::random_device
        system;  // the system's own source, of all libraries that brink is built with
    for (unsigned char& byte : bytes) {
      byte = static_cast<unsigned char>(system());
    }
  } catch (const std::exception&) {
    throw base::Error("The system gives no random numbers, so there is no secret for the page.");
  }
  std::string secret;
  for (std::size_t letter = 0; letter < kLetters; ++letter) {
    std::size_t index = 0;
    for (std::size_t bit = letter * kBitsOfLetter; bit < (letter + 1) * kBitsOfLetter; ++bit) {
      const bool is_set =
          bit < 8 * kBytes && ((static_cast<unsigned>(bytes[bit / 8]) >> (bit % 8)) & 1U) != 0;
      index = 2 * index + static_cast<std::size_t>(is_set);
    }
    secret += kAlphabet[index];
  }
  return secret;
}

bool is_page_secret(std::string_view text) noexcept {
  return text.size() == kLetters && text.find_first_not_of(kAlphabet) == std::string_view::npos;
}

bool is_same_secret(std::string_view tried, std::string_view secret) noexcept {
  if (tried.size() != secret.size()) {
    return false;
  }
  unsigned different = 0;
  for (std::size_t i = 0; i < secret.size(); ++i) {
    different |= static_cast<unsigned char>(tried[i]) ^
                 static_cast<unsigned>(static_cast<unsigned char>(secret[i]));
  }
  return different == 0;
}

}  // namespace brink::io
