#include "io/process.h"

#include <doctest/doctest.h>

#include <fstream>
#include <thread>
#include <vector>

#include "support/skip.h"

using namespace brink;

namespace {

constexpr double kMiB = 1024.0 * 1024.0;

/// Memory of this process that is in use; 0 where the system does not tell it in this way.
double resident_mib() {
  double pages = 0.0;
  std::ifstream("/proc/self/statm") >> pages >> pages;
  return pages * 4096.0 / kMiB;
}

/// Two lists are made anew many times, always longer, and small things are kept in between. Returns
/// what all of it holds in the end.
double make_lists_anew(double& resident_at_end_mib) {
  { const std::vector<char> large(30U << 20U); }  // after it is freed, less counts as large
  std::vector<char> shown;
  std::vector<char> listed;
  std::vector<std::vector<char>> kept;
  for (std::size_t i = 1; i <= 400; ++i) {
    std::vector<char> next(i * 16 * 1024, 'x');
    kept.emplace_back(2000, 'x');
    std::vector<char> rows(i * 5 * 1024, 'x');
    kept.emplace_back(3000, 'x');
    shown = std::move(next);
    listed = std::move(rows);
  }
  resident_at_end_mib = resident_mib();
  std::size_t held = shown.size() + listed.size();
  for (const std::vector<char>& one : kept) {
    held += one.size();
  }
  return static_cast<double>(held) / kMiB;
}

}  // namespace

TEST_CASE("lists that are made anew and always longer leave no holes in memory") {
  if (resident_mib() == 0.0) {
    tests::skip("this system does not tell what memory is resident");
    return;
  }
  io::give_back_large_memory();
  const double before_mib = resident_mib();
  double after_mib = 0.0;
  double held_mib = 0.0;
  std::jthread([&] { held_mib = make_lists_anew(after_mib); }).join();
  CHECK(after_mib - before_mib < held_mib + 2.0);  // 14 more with the library's own threshold
}
