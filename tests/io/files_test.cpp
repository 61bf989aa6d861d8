#include "io/files.h"

#include <doctest/doctest.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <string>
#include <thread>

#include "io/paths.h"
#include "io/process.h"
#include "io/unfinished_files.h"
#include "io/waiting.h"
#include "io/whole_file.h"
#include "support/files.h"

using namespace brink;
using tests::read_bytes;
using tests::TemporaryDirectory;
using tests::write_bytes;

namespace {

// Letters with accents, of other scripts, and one beyond the 16 bits of Windows' characters.
const std::string kName = "Bühne – Ωμέγα Ж 音 🎤.txt";

std::string read_at(int file, std::int64_t offset, std::size_t most) {
  std::string bytes(most, '\0');
  const std::ptrdiff_t count = io::read_at(file, bytes.data(), most, offset);
  REQUIRE(count >= 0);
  bytes.resize(static_cast<std::size_t>(count));
  return bytes;
}

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("a name in any script becomes a path and a text again") {
    const TemporaryDirectory directory;
    const auto path = io::to_path(directory / ".") / io::to_path(kName);
    CHECK(path.filename().string() == kName);
    {
      const io::OpenFile file(io::create_file(path.string(), io::Readers::kAll));
      REQUIRE(file.is_open());
      CHECK(io::write_all(file.number(), "sound"));
    }
    CHECK(std::filesystem::file_size(path) == 5);
    int found = 0;
    for (const auto& entry : std::filesystem::directory_iterator(path.parent_path())) {
      found += entry.path().filename().string() == kName ? 1 : 0;
    }
    CHECK(found == 1);
  }

  TEST_CASE("bytes are read where they are asked for, and none is changed on the way") {
    const TemporaryDirectory directory;
    const std::string path = directory / kName;
    const std::string bytes("one\r\ntwo\n\x1A three\0 four", 22);
    write_bytes(path, bytes);
    const io::OpenFile file(io::open_to_read(path));
    REQUIRE(file.is_open());
    CHECK(read_at(file.number(), 5, 100) == bytes.substr(5));
    CHECK(read_at(file.number(), 5, 3) == "two");
    CHECK(read_at(file.number(), 100, 3).empty());
    std::array<char, 64> all{};
    CHECK(io::read_some(file.number(), all.data(), all.size()) == 22);  // from the start, still
    CHECK(std::string(all.data(), 22) == bytes);
    CHECK(io::read_some(file.number(), all.data(), all.size()) == 0);
    CHECK(io::seek(file.number(), 3, SEEK_SET) == 3);
  }

  TEST_CASE("a new file is new") {
    const TemporaryDirectory directory;
    const std::string path = directory / kName;
    write_bytes(path, "there");
    CHECK_FALSE(io::OpenFile(io::create_file(path, io::Readers::kAll)).is_open());
    CHECK(errno == EEXIST);
    CHECK(read_bytes(path) == "there");
    CHECK_FALSE(io::OpenFile(io::open_to_read(directory / "none")).is_open());
    CHECK(errno == ENOENT);
    CHECK_FALSE(io::OpenFile(io::open_to_write(directory / "none")).is_open());
  }

  TEST_CASE("a file is the same under every name, and another one of its name is not") {
    const TemporaryDirectory directory;
    const std::string path = directory / kName;
    const std::string other = directory / "other";
    write_bytes(path, "first");
    std::filesystem::create_hard_link(io::to_path(path), io::to_path(other));
    const auto first = io::facts_of(path);
    REQUIRE(first);
    CHECK(first->kind == io::FileKind::kRegular);
    CHECK(first->bytes == 5);
    CHECK(io::facts_of(other)->id == first->id);
    {
      const io::OpenFile file(io::open_to_read(other));
      CHECK(io::facts_of(file.number())->id == first->id);
    }
    std::filesystem::remove(io::to_path(path));
    write_bytes(path, "another");
    CHECK(io::facts_of(path)->id != first->id);
    CHECK(io::facts_of(directory / ".")->kind == io::FileKind::kFolder);
    CHECK_FALSE(io::facts_of(directory / "none"));
  }

  TEST_CASE("a file is placed where none is, and takes another's place when told to") {
    const TemporaryDirectory directory;
    const std::string from = directory / "from";
    const std::string to = directory / kName;
    write_bytes(from, "new");
    write_bytes(to, "old and longer");
    CHECK_FALSE(io::place_file(from, to));
    CHECK(errno == EEXIST);
    CHECK(read_bytes(to) == "old and longer");
    CHECK(io::replace_file(from, to));
    CHECK(read_bytes(to) == "new");
    write_bytes(from, "newer");
    CHECK(io::place_file(from, directory / "free"));
    CHECK(read_bytes(directory / "free") == "newer");
    CHECK_FALSE(io::facts_of(from));
  }

  TEST_CASE("a file with several names is replaced under all of them") {
    const TemporaryDirectory directory;
    const std::string path = directory / kName;
    write_bytes(path, "old and longer");
    std::filesystem::create_hard_link(io::to_path(path), io::to_path(directory / "other"));
    io::WholeFile file(path, {{}, true, {}});
    file.append("new");
    file.commit();
    CHECK(read_bytes(path) == "new");
    CHECK(read_bytes(directory / "other") == "new");
  }

  TEST_CASE("an unfinished file leaves nothing behind, also while it is open") {
    const TemporaryDirectory directory;
    {
      const io::UnfinishedFile file(directory / kName);
      REQUIRE(file.descriptor() >= 0);
      CHECK(io::write_all(file.descriptor(), "half"));
      io::remove_file(file.path().c_str());
    }
    CHECK(std::filesystem::is_empty(io::to_path(directory / ".")));
  }

  TEST_CASE("what is waited for comes whole, and its end after it") {
    const TemporaryDirectory directory;
    const std::string path = directory / kName;
    std::string bytes;
    for (int i = 0; i < 200000; ++i) {
      bytes += static_cast<char>(i % 251);
    }
    write_bytes(path, bytes);
    const io::OpenFile file(io::open_to_read(path));
    io::WaitedInput input(file.number());
    std::string got;
    std::array<char, 7000> part{};
    std::size_t count = 0;
    auto outcome = io::WaitedInput::Outcome::kNothingYet;
    while ((outcome = input.read(part.data(), part.size(), 1000, count)) !=
           io::WaitedInput::Outcome::kEnd) {
      got.append(part.data(), count);
    }
    CHECK(got == bytes);
  }

  TEST_CASE("this program is there to be started again") {
    CHECK(std::filesystem::exists(io::to_path(io::this_program())));
  }
}
