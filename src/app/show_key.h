#pragma once

#include <string>

#include "io/record_key.h"

namespace brink::app {

/// ShowRecord::key for a new show.
[[nodiscard]] inline std::string make_show_key() {
  return io::new_key();
}

}  // namespace brink::app
