#include <doctest/doctest.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <iterator>
#include <map>
#include <string>
#include <thread>
#include <vector>

#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "support/book_samples.h"
#include "support/files.h"
#include "support/process.h"
#include "support/sentence.h"

using namespace brink;
using tests::check_sentence;
using tests::has;
using tests::Outcome;
using tests::read_bytes;
using tests::run_brink;
using tests::TemporaryDirectory;
using tests::write_bytes;

namespace {

namespace fs = std::filesystem;

using Words = std::vector<std::string>;

Words with(Words words, const Words& more) {
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

/// A book with a show and a guess, a list of one short clip, and the commands that write files.
class Bench {
 public:
  Bench() : book(directory / "book.sqlite"), recording(directory / "take.wav") {
    io::Book writer(book);
    writer.keep(tests::sample_show(1));
    REQUIRE(writer.wait_for(writer.keep(tests::sample_guess(1)), 30.0));
    tests::RawWav wav;
    wav.samples.assign(48000, 0.01F);
    write_bytes(recording, wav.bytes());
    write_bytes(directory / "list.txt", "clip one\nkind x\nabout y\noptions --length 0.1\n");
  }

  /// Each without the name of its output, which comes last.
  [[nodiscard]] std::vector<Words> commands() const {
    return {{"book", "export", "--book", book, "--output"},
            {"book", "export", "--format", "csv", "--book", book, "--output"},
            {"book", "sheet", "--book", book, "--output"},
            {"book", "scores", "--format", "json", "--book", book, "--output"},
            {"book", "scores", "--format", "csv", "--book", book, "--output"},
            {"book", "scores", "--format", "csv", "--by-week", "--book", book, "--output"},
            {"analyse", recording, "--format", "json", "--quiet", "--output"},
            {"analyse", recording, "--format", "csv", "--quiet", "--output"}};
  }

  /// Each output of each command, whole or not there. The last word gets the name of a folder put
  /// before it.
  [[nodiscard]] std::vector<Words> outputs() const {
    std::vector<Words> all;
    for (const Words& command : commands()) {
      all.push_back(with(command, {"/out"}));
    }
    const Words more[] = {
        {"analyse", recording, "--quiet", "--replace", "--output", "/out.txt"},
        {"analyse",
         BRINK_TEST_SIGNALS "/wedge.flac",
         "--quiet",
         "--replace",
         "--format",
         "labels",
         "--output",
         "/out.txt"},
        {"book", "scores", "--book", book, "--replace", "--output", "/out.txt"},
        {"book", "sheet", "--book", book, "--trainee", "Béla", "--output", "/out.html"},
        {"plan", "--rings", "1000", "--plot", "/out.svg"},
        {"stage", "--length", "0.1", "--output", "/out.wav"},
        {"stage", "--length", "0.1", "--output", "/out.flac"},
        {"stage", "--scenarios", directory / "list.txt", "--into", ""},
        {"sweep", "--from-stage", "--length", "1", "--decay", "0.5", "--response", "/out.csv"}};
    all.insert(all.end(), std::begin(more), std::end(more));
    return all;
  }

  [[nodiscard]] std::string operator/(std::string_view name) const { return directory / name; }

  TemporaryDirectory directory;
  std::string book;
  std::string recording;
};

std::size_t files_in(const std::string& folder) {
  return static_cast<std::size_t>(
      std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

std::map<std::string, std::string> contents(const std::string& folder) {
  std::map<std::string, std::string> all;
  for (const auto& entry : fs::directory_iterator(folder)) {
    all[entry.path().string()] = read_bytes(entry.path().string());
  }
  return all;
}

bool has_unfinished(const std::string& folder) {
  for (const auto& entry : fs::directory_iterator(folder)) {
    if (entry.path().extension() == ".part") {
      return true;
    }
  }
  return false;
}

}  // namespace

TEST_CASE("every command replaces its own earlier output and nothing else without --replace") {
  const Bench bench;
  for (const Words& command : bench.commands()) {
    const std::string path = bench / "out";
    CAPTURE(command[1]);
    REQUIRE(run_brink(with(command, {path})).status == 0);
    const std::string first = read_bytes(path);
    CHECK(!first.empty());
    CHECK(run_brink(with(command, {path})).status == 0);
    CHECK(read_bytes(path) == first);
    write_bytes(path, "a letter");
    check_sentence(with(command, {path}), "is not known as an earlier output of this command");
    CHECK(read_bytes(path) == "a letter");
    CHECK(run_brink(with(command, {path, "--replace"})).status == 0);
    CHECK(read_bytes(path) == first);
    // Neither the book nor a recording, whatever is said.
    const std::string book = read_bytes(bench.book);
    fs::remove(bench / "alias");
    fs::create_hard_link(bench.book, bench / "alias");
    check_sentence(with(command, {bench.book, "--replace"}), "choose another name");
    check_sentence(with(command, {bench / "alias", "--replace"}), "choose another name");
    CHECK(read_bytes(bench.book) == book);
    const std::string take = read_bytes(bench.recording);
    check_sentence(with(command, {bench.recording, "--replace"}), "choose another name");
    CHECK(read_bytes(bench.recording) == take);
    fs::remove(path);
  }
}

TEST_CASE("a plan's picture replaces its own kind, never what the plan is made from") {
  const Bench bench;
  const std::string picture = bench / "plan.svg";
  const Words plan{"plan", "--rings", "1000", "--plot", picture};
  CHECK(run_brink(plan).status == 0);
  CHECK(run_brink(plan).status == 0);
  write_bytes(picture, "<svg/>");
  check_sentence(plan, "is not known as an earlier output");
  CHECK(run_brink(with(plan, {"--replace"})).status == 0);
  write_bytes(bench / "own.svg", "name = mine\nkind = parametric\nbands = 4\n");
  check_sentence({"plan",
                  "--rings",
                  "1000",
                  "--target",
                  bench / "own.svg",
                  "--plot",
                  bench / "own.svg",
                  "--replace"},
                 "this command reads it");
}

TEST_CASE("stage replaces what a stage rendered, and a user's sound never") {
  const Bench bench;
  for (const std::string ending : {".wav", ".flac"}) {
    const std::string sound = bench / ("a" + ending);
    const Words stage{"stage", "--length", "0.1", "--output", sound};
    CHECK(run_brink(stage).status == 0);
    CHECK(run_brink(stage).status == 0);
    const std::string truth = read_bytes(bench / "a.truth.json");
    // A recording of the user's own beside an old truth.
    const std::string take = read_bytes(bench.recording);
    write_bytes(sound, take);
    check_sentence(with(stage, {"--replace"}), "is a recording");
    CHECK(read_bytes(sound) == take);
    CHECK(read_bytes(bench / "a.truth.json") == truth);
    fs::remove(sound);
    fs::remove(bench / "a.truth.json");
  }
}

TEST_CASE("a list of clips is refused before anything is rendered or replaced") {
  const Bench bench;
  const std::string into = bench / "clips";
  const Words stage{"stage", "--scenarios", bench / "list.txt", "--into", into};
  CHECK(run_brink(stage).status == 0);
  CHECK(run_brink(stage).status == 0);
  CHECK(files_in(into) == 3);
  const std::string truth = read_bytes(into + "/truth.json");
  const auto refuse = [&](const std::string& name, const std::string& why) {
    const std::string own = read_bytes(into + "/" + name);
    write_bytes(into + "/" + name, why == "is a recording" ? read_bytes(bench.recording) : "mine");
    const std::string before = read_bytes(into + "/" + name);
    check_sentence(stage, why);
    CHECK(read_bytes(into + "/" + name) == before);
    write_bytes(into + "/" + name, own);
    CHECK(read_bytes(into + "/truth.json") == truth);
  };
  refuse("one.flac", "is a recording");
  refuse("MANIFEST.md", "is not known as an earlier output");
  write_bytes(bench / "list.txt", "clip one\nclip one\n");
  check_sentence(stage, "is there twice");
  check_sentence({"stage", "--scenarios", "/dev/zero", "--into", into}, "is a device");
  check_sentence({"stage", "--scenarios", into, "--into", into}, "Is a directory");
}

TEST_CASE("a signal leaves no stump and no unfinished file, and the old output stands") {
  const Bench bench;
  fs::create_directory(bench / "place");
  const std::string folder = bench / "place";
  const std::string sound = folder + "/a.wav";
  REQUIRE(run_brink({"stage", "--length", "0.1", "--output", sound}).status == 0);
  const std::string old_sound = read_bytes(sound);
  const std::string old_truth = read_bytes(folder + "/a.truth.json");
  for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
    CAPTURE(number);
    tests::Process stage({tests::tested_program(), "stage", "--length", "600", "--output", sound},
                         {});
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(30);
    while (!has_unfinished(folder) && std::chrono::steady_clock::now() < end) {
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    REQUIRE(has_unfinished(folder));
    stage.send_signal(number);
    CHECK(stage.wait(30.0) == 128 + number);
    CHECK(files_in(folder) == 2);
    CHECK(read_bytes(sound) == old_sound);
    CHECK(read_bytes(folder + "/a.truth.json") == old_truth);
  }
}

TEST_CASE("a disk that takes no more leaves every old output as it was, and no stump") {
  const Bench bench;
  io::BookReader reader(bench.book);  // its -shm is there and need not grow
  REQUIRE(reader.shows().size() == 1);
  for (const Words& output : bench.outputs()) {
    const std::string folder = bench / "place";
    Words command = output;
    command.back() = folder + command.back();
    CAPTURE(fmt::format("{}", fmt::join(command, " ")));
    fs::create_directory(folder);
    const Outcome first = run_brink(command);
    CAPTURE(first.err);
    REQUIRE(first.status == 0);
    const auto old = contents(folder);
    REQUIRE(!old.empty());
    std::uintmax_t longest_bytes = 0;
    for (const auto& [name, content] : old) {
      longest_bytes = std::max<std::uintmax_t>(longest_bytes, content.size());
    }
    tests::RunOptions limited;
    limited.longest_file_bytes = longest_bytes / 2;
    check_sentence(run_brink(command, limited), "it cannot be written");
    CHECK(contents(folder) == old);
    fs::remove_all(folder);
    fs::create_directory(folder);
    check_sentence(run_brink(command, limited), "it cannot be written");
    CHECK(fs::is_empty(folder));
    fs::remove_all(folder);
  }
}
