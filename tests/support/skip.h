#pragma once

#include <doctest/doctest.h>

#include <string_view>

namespace brink::tests {

/// Says that this test case cannot look at what it is for, and why. ctest takes these words for
/// "skipped" (tests/CMakeLists.txt), where a mere return would count as passed. Return after it.
inline void skip(std::string_view why) {
  MESSAGE("skipped: " << why);
}

}  // namespace brink::tests
