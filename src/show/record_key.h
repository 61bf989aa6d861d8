#pragma once

#include <string>
#include <string_view>

namespace brink::show {

/// A key for a new show or guess: 32 hexadecimal digits from the system's random numbers, so that
/// no two books ever share one by chance. [any]
[[nodiscard]] std::string new_key();

/// Whether it is 32 hexadecimal digits, in lower case.
[[nodiscard]] bool is_key(std::string_view text) noexcept;

/// The key that always belongs to this text: for what comes from elsewhere and may come again.
[[nodiscard]] std::string key_of(std::string_view text);

}  // namespace brink::show
