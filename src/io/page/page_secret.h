#pragma once

#include <string>
#include <string_view>

namespace brink::io {

/// 128 bits from the system's random source, as 26 letters and digits that are not taken for each
/// other by eye (no i, l, o, u). Throws base::Error when the system has none. [any]
[[nodiscard]] std::string new_page_secret();

/// Whether it has that form.
[[nodiscard]] bool is_page_secret(std::string_view text) noexcept;

/// Compares in a time that does not tell how much of it is right. `secret` is not secret in its
/// length.
[[nodiscard]] bool is_same_secret(std::string_view tried, std::string_view secret) noexcept;

}  // namespace brink::io
