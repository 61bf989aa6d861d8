#pragma once

#include <string>

namespace brink::app {

/// ShowRecord::key for a new show: 128 random bits as 32 hexadecimal digits.
[[nodiscard]] std::string make_show_key();

}  // namespace brink::app
