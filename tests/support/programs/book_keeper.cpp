// Keeps things in a book as the program does. For tests that end this process, or do to it what
// they must not do to themselves.
//
//   book_keeper hold BOOK     keeps one show, prints "kept", holds the book until its input ends
//   book_keeper nobody BOOK   keeps one show as a user without rights; prints what is wrong
//   book_keeper full FOLDER   mounts a very small disk there, fills it, frees it; prints results
#include <fmt/format.h>
#include <grp.h>
#include <sched.h>
#include <sys/mount.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "io/whole_file.h"
#include "support/book_samples.h"
#include "support/files.h"

namespace {

using brink::io::Book;
using brink::show::ShowRecord;

constexpr double kPatienceS = 20.0;

void print(const std::string& line) {
  if (!brink::io::write_all(brink::io::kStdout, line + "\n")) {
    std::_Exit(1);
  }
}

int hold(const std::string& path) {
  Book book(path);
  print(book.wait_for(book.keep(brink::tests::sample_show(1)), kPatienceS)
            ? "kept"
            : book.trouble().value_or("late"));
  std::string line;
  std::getline(std::cin, line);
  return 0;
}

int as_nobody(const std::string& path) {
  constexpr unsigned kNobody = 65534;
  if (geteuid() == 0 &&
      (setgroups(0, nullptr) != 0 || setgid(kNobody) != 0 || setuid(kNobody) != 0)) {
    return 1;
  }
  Book book(path);
  (void)book.wait_for(book.keep(brink::tests::sample_show(2)), kPatienceS);
  print(book.trouble().value_or("kept"));
  try {
    print(fmt::format("{} shows", brink::io::BookReader(path).shows().size()));
  } catch (const std::exception& error) {
    print(error.what());
  }
  return 0;
}

/// Uses its own mount namespace, so that no other process sees the small disk.
bool mount_small_disk(const std::string& folder) {
  const bool is_root = geteuid() == 0;
  const unsigned user = geteuid();
  if (unshare(is_root ? CLONE_NEWNS : CLONE_NEWNS | CLONE_NEWUSER) != 0) {
    return false;
  }
  if (!is_root) {
    std::ofstream("/proc/self/uid_map") << "0 " << user << " 1\n";
  }
  return mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) == 0 &&
         mount("tmpfs", folder.c_str(), "tmpfs", 0, "size=512k") == 0;
}

int fill(const std::string& folder) {
  if (!mount_small_disk(folder)) {
    print("no small disk here");
    return 0;
  }
  const std::string ballast = folder + "/ballast";
  brink::tests::write_bytes(ballast, std::string(200000, 'x'));
  const std::string path = folder + "/book.sqlite";
  Book book(path);
  ShowRecord show = brink::tests::sample_show(5);
  for (int i = 0; i < 300 && !book.trouble(); ++i) {
    show.outputs[0].note.append(3000, 'y');
    (void)book.wait_for(book.keep(show), kPatienceS);
  }
  print(book.trouble().value_or("never full"));
  // What was kept before can still be read, and the book takes more.
  print(brink::io::BookReader(path).shows().size() == 1 ? "read" : "not read");
  show.note = "while full";
  const auto serial = book.keep(show);
  print(book.kept() < serial ? "waits" : "kept on a full disk");
  std::filesystem::remove(ballast);
  for (int i = 0; i < 200 && book.kept() < serial; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
  }
  print(brink::io::BookReader(path).show(show.key) == show ? "written" : "lost");
  print(book.trouble().value_or("all is well"));
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> words(argv, argv + argc);
  if (words.size() != 3) {
    return 2;
  }
  const std::string& mode = words[1];
  return mode == "hold"     ? hold(words[2])
         : mode == "nobody" ? as_nobody(words[2])
         : mode == "full"   ? fill(words[2])
                            : 2;
}
