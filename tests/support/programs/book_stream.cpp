// Keeps one state of a show after another in the book that is named, until it is killed. Prints
// "KEY COUNT" once a state is on the disk.
#include <cstdlib>
#include <random>
#include <string>
#include <thread>
#include <vector>

#include "io/book/book.h"
#include "io/files.h"
#include "support/book_samples.h"

namespace {

using brink::io::Book;
using brink::show::ShowRecord;

void print(const std::string& line) {
  if (!brink::io::write_all(brink::io::kStdout, line + "\n")) {
    std::_Exit(1);
  }
}

/// State number `count`. Three shows take turns.
ShowRecord state(std::uint32_t run, std::uint64_t count) {
  ShowRecord show = brink::tests::sample_show(
      run * 3 + static_cast<std::uint32_t>(count % 3), 2, 1 + count / 3 % 7);
  show.note = std::to_string(count);
  return show;
}

int stream(const std::string& path) {
  Book book(path);
  const std::uint32_t run = std::random_device()() / 4;  // process numbers come again
  std::vector<std::string> lines{""};
  std::uint64_t printed = 0;
  for (std::uint64_t count = 1;; ++count) {
    const ShowRecord show = state(run, count);
    lines.push_back(show.key + " " + show.note);
    (void)book.keep(show);
    while (printed + 4 < count) {
      for (const std::uint64_t kept = book.kept(); printed < kept;) {
        print(lines[++printed]);
      }
      std::this_thread::yield();
    }
  }
}

}  // namespace

int main(int argc, char** argv) {
  return argc == 2 ? stream(argv[1]) : 2;
}
