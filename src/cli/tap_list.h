#pragma once

#include <string>
#include <vector>

namespace brink::cli {

/// "1,3-5" is 1, 3, 4, 5: channel numbers from 1 to 64, rising, each once. Empty for "". Throws
/// base::Error on anything else.
[[nodiscard]] std::vector<int> to_taps(const std::string& list);

/// 1 to `count`.
[[nodiscard]] std::vector<int> first_taps(int count);

}  // namespace brink::cli
