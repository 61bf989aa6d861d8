#pragma once

#include <string>
#include <string_view>

namespace brink::io {

/// Between UTF-8 and the system's UTF-16. What is no UTF-8 becomes U+FFFD. For Windows alone. [any]
[[nodiscard]] std::wstring to_wide(std::string_view text);
[[nodiscard]] std::string to_utf8(std::wstring_view text);

/// GetLastError() as errno's number.
[[nodiscard]] int last_fault() noexcept;

}  // namespace brink::io
