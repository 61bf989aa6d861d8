#include "io/whole_file.h"

#include <doctest/doctest.h>
#include <sched.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <csignal>
#include <filesystem>
#include <iterator>

#include "base/error.h"
#include "io/sound_file.h"
#include "io/unfinished_files.h"
#include "support/files.h"
#include "support/skip.h"
#include "support/sounds.h"

using brink::base::Error;
using brink::io::ReplaceRule;
using brink::io::WholeFile;
using brink::tests::read_bytes;
using brink::tests::TemporaryDirectory;
using brink::tests::write_bytes;

namespace {

namespace fs = std::filesystem;

void put(const std::string& path, const std::string& text, const ReplaceRule& rule = {}) {
  WholeFile file(path, rule);
  file.append(text);
  file.commit();
}

std::string refusal(const std::string& path, const ReplaceRule& rule = {}) {
  try {
    put(path, "new", rule);
  } catch (const Error& error) {
    return error.what();
  }
  return {};
}

bool has(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

std::ptrdiff_t files_in(const std::string& folder) {
  return std::distance(fs::directory_iterator(folder), fs::directory_iterator());
}

unsigned mode_of(const std::string& path) {
  struct stat facts {};

  REQUIRE(stat(path.c_str(), &facts) == 0);
  return facts.st_mode & 07777U;
}

}  // namespace

TEST_CASE("an output takes the place of its own kind, of nothing, and of what it is told to") {
  const TemporaryDirectory dir;
  const std::string path = dir / "a.json";
  const ReplaceRule rule{{R"({"schema":"brink/x/)"}, false, {}};
  put(path, R"({"schema":"brink/x/1"})", rule);
  put(path, "second", rule);
  CHECK(read_bytes(path) == "second");
  CHECK(has(refusal(path, rule), "is there already and is not known as an earlier output"));
  CHECK(has(refusal(path, rule), "--replace"));
  CHECK(read_bytes(path) == "second");
  put(path, "third", {{}, true, {}});
  CHECK(read_bytes(path) == "third");
  write_bytes(path, "");  // as mktemp makes it
  put(path, "fourth");
  CHECK(read_bytes(path) == "fourth");
  CHECK(files_in(dir / ".") == 1);
}

TEST_CASE("no word makes an output replace a book, a recording or an input") {
  const TemporaryDirectory dir;
  const std::string book = dir / "book";
  write_bytes(book, std::string("SQLite format 3\0and more", 24));
  const std::string take = dir / "take.json";
  {
    brink::io::SoundWriter writer(dir / "take.wav", 48000.0, 1, brink::io::SampleFormat::kFloat);
    writer.write(std::vector<float>(100, 0.1F));
    writer.close();
    fs::rename(dir / "take.wav", take);
  }
  const std::string input = dir / "input.csv";
  write_bytes(input, "own");
  fs::create_hard_link(input, dir / "second name");
  fs::create_symlink("second name", dir / "link");
  const ReplaceRule told{{"own"}, true, {input}};
  CHECK(has(refusal(book, told), "is a book"));
  CHECK(has(refusal(book + "-wal", told), "belongs to the book beside it"));
  CHECK(has(refusal(book + ".lock", told), "belongs to the book beside it"));
  CHECK(has(refusal(take, told), "is a recording"));
  CHECK(has(refusal(input, told), "this command reads it"));
  CHECK(has(refusal(dir / "second name", told), "this command reads it"));
  CHECK(has(refusal(dir / "link", told), "this command reads it"));
  CHECK(read_bytes(input) == "own");
  CHECK(files_in(dir / ".") == 5);
}

TEST_CASE("a sound is known by the comment in its header, whatever lies beside it") {
  const TemporaryDirectory dir;
  for (const std::string ending : {".wav", ".flac"}) {
    const std::string path = dir / ("a" + ending);
    const ReplaceRule rule{{"rendered by a test"}, true, {}};
    for (const float level : {0.1F, 0.2F}) {
      WholeFile file(path, rule);
      brink::io::SoundWriter writer(
          file, 48000.0, 1, brink::io::SampleFormat::kInt16, "rendered by a test");
      writer.write(std::vector<float>(5000, level));
      writer.close();
      file.commit();
    }
    brink::io::SoundReader reader(path);
    REQUIRE(reader.next_block());
    CHECK(reader.channel(0)[0] == doctest::Approx(0.2).epsilon(1e-3));
    CHECK(has(refusal(path, {{"rendered by another"}, true, {}}), "is a recording"));
  }
}

TEST_CASE("what is replaced keeps its mode, its links and all its names") {
  const TemporaryDirectory dir;
  const ReplaceRule told{{}, true, {}};
  const std::string path = dir / "a";
  SUBCASE("mode") {
    write_bytes(path, "old");
    REQUIRE(chmod(path.c_str(), 0640) == 0);
    put(path, "new", told);
    CHECK(mode_of(path) == 0640);
  }
  SUBCASE("symbolic link") {
    write_bytes(dir / "real", "old");
    fs::create_symlink("real", path);
    put(path, "new", told);
    CHECK(fs::is_symlink(path));
    CHECK(read_bytes(dir / "real") == "new");
  }
  SUBCASE("symbolic link to nothing yet") {
    fs::create_symlink("real", path);
    put(path, "new");
    CHECK(fs::is_symlink(path));
    CHECK(read_bytes(dir / "real") == "new");
  }
  SUBCASE("hard link, longer and shorter") {
    write_bytes(path, "old");
    fs::create_hard_link(path, dir / "b");
    put(path, std::string(100000, 'x'), told);
    CHECK(read_bytes(dir / "b") == std::string(100000, 'x'));
    put(path, "new", told);
    CHECK(read_bytes(dir / "b") == "new");
    CHECK(fs::hard_link_count(path) == 2);
  }
  CHECK(read_bytes(path) == "new");
  for (const auto& entry : fs::directory_iterator(dir / ".")) {
    CHECK(!has(entry.path().string(), ".part"));
  }
}

TEST_CASE("what is replaced keeps its owner") {
  const TemporaryDirectory dir;
  const std::string path = dir / "a";
  write_bytes(path, "old");
  constexpr uid_t kNobody = 65534;
  if (chown(path.c_str(), kNobody, kNobody) != 0) {
    brink::tests::skip("only root can give a file away");
    return;
  }
  put(path, "new", {{}, true, {}});

  struct stat facts {};

  REQUIRE(stat(path.c_str(), &facts) == 0);
  CHECK(facts.st_uid == kNobody);
  CHECK(facts.st_gid == kNobody);
}

TEST_CASE("an output that is given up, or finds another in its place, leaves all as it was") {
  const TemporaryDirectory dir;
  const std::string path = dir / "a";
  {
    WholeFile file(path);
    file.append("half");
  }
  CHECK(files_in(dir / ".") == 0);
  {
    WholeFile file(path);
    file.append("new");
    write_bytes(path, "came meanwhile");
    CHECK_THROWS_AS(file.commit(), Error);
  }
  CHECK(read_bytes(path) == "came meanwhile");
  CHECK(files_in(dir / ".") == 1);
}

TEST_CASE("a file that may not grow leaves the old one and no stump") {
  const TemporaryDirectory dir;
  const ReplaceRule told{{}, true, {}};
  write_bytes(dir / "a", "old");
  write_bytes(dir / "b", "old");
  fs::create_hard_link(dir / "b", dir / "c");
  std::signal(SIGXFSZ, SIG_IGN);
  rlimit limit{};
  REQUIRE(getrlimit(RLIMIT_FSIZE, &limit) == 0);
  rlimit small = limit;
  small.rlim_cur = 4096;
  REQUIRE(setrlimit(RLIMIT_FSIZE, &small) == 0);
  const auto write = [&](const char* name) -> std::string {
    try {
      put(dir / name, std::string(10000, 'x'), told);
    } catch (const Error& error) {
      return error.what();
    }
    return {};
  };
  const std::string plain = write("a");
  const std::string linked = write("b");
  std::string sound;
  try {
    WholeFile file(dir / "s.wav");
    brink::io::SoundWriter writer(file, 48000.0, 1, brink::io::SampleFormat::kInt16);
    writer.write(std::vector<float>(100000, 0.1F));
    writer.close();
    file.commit();
  } catch (const Error& error) {
    sound = error.what();
  }
  REQUIRE(setrlimit(RLIMIT_FSIZE, &limit) == 0);
  CHECK(has(plain, "cannot be written"));
  CHECK(has(linked, "cannot be written"));
  CHECK(has(sound, "cannot be written"));
  CHECK(read_bytes(dir / "a") == "old");
  CHECK(read_bytes(dir / "c") == "old");
  CHECK(files_in(dir / ".") == 3);
}

TEST_CASE("a sound is refused whichever of its bytes the disk does not take") {
  const TemporaryDirectory dir;
  const std::vector<float> samples = brink::tests::white_noise(0.5, 48000.0, -20.0, 1);
  const auto write = [&](const std::string& name) {
    WholeFile file(dir / name);
    brink::io::SoundWriter writer(file, 48000.0, 1, brink::io::SampleFormat::kInt16);
    writer.write(samples);
    writer.close();
    file.commit();
  };
  std::signal(SIGXFSZ, SIG_IGN);
  rlimit limit{};
  REQUIRE(getrlimit(RLIMIT_FSIZE, &limit) == 0);
  for (const std::string ending : {".wav", ".flac"}) {
    write("whole" + ending);
    const auto size = static_cast<rlim_t>(fs::file_size(dir / ("whole" + ending)));
    for (const rlim_t missing : {rlim_t{1}, rlim_t{1000}, rlim_t{10000}, size - 10}) {
      CAPTURE(missing);
      rlimit small = limit;
      small.rlim_cur = size - missing;
      REQUIRE(setrlimit(RLIMIT_FSIZE, &small) == 0);
      bool is_refused = false;
      try {
        write("short" + ending);
      } catch (const Error&) {
        is_refused = true;
      }
      REQUIRE(setrlimit(RLIMIT_FSIZE, &limit) == 0);
      CHECK(is_refused);
      CHECK(!fs::exists(dir / ("short" + ending)));
    }
  }
  CHECK(files_in(dir / ".") == 2);
}

TEST_CASE("names at the edge of what a disk takes") {
  const TemporaryDirectory dir;
  const std::string longest = dir / std::string(255, 'n');
  put(longest, "there");
  CHECK(read_bytes(longest) == "there");
  CHECK(has(refusal(dir / std::string(300, 'n')), "File name too long"));
  fs::create_symlink("loop", dir / "loop");
  CHECK(has(refusal(dir / "loop"), "Too many levels of symbolic links"));
  CHECK(has(refusal(dir / "."), "Is a directory"));
  put("/dev/null", "a device takes all");
}

namespace {

/// The name under which a file grows for the first process of a machine of its own: its process
/// number is 1. Empty where the system allows no such process.
std::string name_on_own_machine(const std::string& place) {
  std::array<int, 2> pipe{};
  REQUIRE(::pipe(pipe.data()) == 0);
  const pid_t outer = ::fork();
  if (outer == 0) {
    if (::unshare(CLONE_NEWPID) == 0) {
      const pid_t inner = ::fork();
      if (inner == 0) {
        const brink::io::UnfinishedFile file{place};
        const std::string& path = file.path();
        _exit(::write(pipe[1], path.data(), path.size()) > 0 ? 0 : 1);  // and leaves the file
      }
      ::waitpid(inner, nullptr, 0);
    }
    _exit(0);
  }
  ::waitpid(outer, nullptr, 0);
  ::close(pipe[1]);
  std::array<char, 4096> name{};
  const auto length = ::read(pipe[0], name.data(), name.size());
  ::close(pipe[0]);
  return {name.data(), static_cast<std::size_t>(std::max<ssize_t>(length, 0))};
}

}  // namespace

TEST_CASE("machines that share a folder never share the name of a file that grows") {
  const TemporaryDirectory folder;
  const std::string place = folder / "result.json";
  const std::string one = name_on_own_machine(place);
  if (one.empty()) {
    brink::tests::skip("only root may begin a process space");
    return;
  }
  fs::remove(one);  // as when it took its place
  CHECK(name_on_own_machine(place) != one);
}
