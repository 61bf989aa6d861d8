#pragma once

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "support/program.h"

namespace brink::tests {

[[nodiscard]] inline bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// Checks for bad input: exit status 2, and one sentence for the user that contains `part`.
inline void check_sentence(const Outcome& outcome, const std::string& part) {
  CAPTURE(outcome.err);
  CHECK(outcome.status == 2);
  CHECK(outcome.err.rfind("brink: ", 0) == 0);
  CHECK(has(outcome.err, part));
  CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 1);
  REQUIRE(outcome.err.size() > 2);
  CHECK(outcome.err.substr(outcome.err.size() - 2) == ".\n");
}

/// Runs brink and checks the same, and that nothing else was printed.
inline void check_sentence(const std::vector<std::string>& arguments, const std::string& part) {
  const Outcome outcome = run_brink(arguments);
  CHECK(outcome.out.empty());
  check_sentence(outcome, part);
}

}  // namespace brink::tests
