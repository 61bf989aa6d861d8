#pragma once

#include <chrono>
#include <string>

namespace brink::desk {

/// `page.json` beside the settings file; empty where nothing can be remembered.
/// [before other threads start: reads the environment]
[[nodiscard]] std::string page_secret_path();

/// How long after it was last used the page's secret is used again: a telephone finds the page
/// again when brink was started again in the same evening, and not a week later.
inline constexpr std::chrono::hours kSecretKept(12);

/// The secret of the page's address: the one in the file, when it was used within kSecretKept and
/// `is_new` does not ask for another, or else a new one. It is written back with the time of this
/// use, for the user's eyes alone (mode 0600). Where the file cannot be read or written, the secret
/// lasts as long as the program. Throws base::Error when the system gives no random numbers.
[[nodiscard]] std::string keep_page_secret(const std::string& path,
                                           std::chrono::system_clock::time_point now,
                                           bool is_new);

}  // namespace brink::desk
