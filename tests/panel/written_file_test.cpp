#include "panel/book/written_file.h"

#include <doctest/doctest.h>

#include <chrono>
#include <thread>

#include "panel/book/visit_words.h"
#include "support/files.h"

using namespace brink;
using namespace brink::panel;

namespace {

void settle(WrittenFile& file) {
  for (int pass = 0; pass < 2000 && file.words() == "Writing ..."; ++pass) {
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
    file.update();
  }
}

show::ShowRecord visit(std::initializer_list<double> rings_hz) {
  show::ShowRecord show;
  show::OutputRecord& output = show.outputs.emplace_back();
  output.name = "wedge";
  for (const double ring_hz : rings_hz) {
    output.rounds.emplace_back().ring.frequency_hz = ring_hz;
    output.rounds.back().cut = cuts::Band{ring_hz, 8.0, -6.0};
    output.cuts.push_back({ring_hz, 8.0, -6.0});
  }
  return show;
}

}  // namespace

TEST_CASE("a file is written into a new folder, and no file is ever replaced") {
  const tests::TemporaryDirectory folder;
  WrittenFile file;
  const WrittenFile::Place place{folder / "sheets", "larkfield-hall", ".html"};
  file.start(
      place, [] { return "first"; }, [] {});
  settle(file);
  CHECK(tests::read_bytes(folder / "sheets/larkfield-hall.html") == "first");
  CHECK(file.path() == folder / "sheets/larkfield-hall.html");
  file.start(
      place, [] { return "second"; }, [] {});
  settle(file);
  CHECK(tests::read_bytes(folder / "sheets/larkfield-hall.html") == "first");
  CHECK(tests::read_bytes(folder / "sheets/larkfield-hall-2.html") == "second");
  CHECK(file.words() == "Written to " + file.path());
  file.forget();
  CHECK(file.words().empty());
}

TEST_CASE("what cannot be written is said") {
  const tests::TemporaryDirectory folder;
  tests::write_bytes(folder / "sheets", "a file where the folder should be");
  WrittenFile file;
  file.start(
      {folder / "sheets", "a", ".html"}, [] { return "text"; }, [] {});
  settle(file);
  CHECK(file.path().empty());
  CHECK(!file.words().empty());
}

TEST_CASE("a folder that cannot be made is named, with the reason, and not the file in it") {
  const tests::TemporaryDirectory folder;
  tests::write_bytes(folder / "book", "a file, so no folder can be made below it");
  WrittenFile file;
  file.start(
      {folder / "book/sheets", "a", ".html"}, [] { return "text"; }, [] {});
  settle(file);
  CHECK(file.words() == "The folder " + (folder / "book/sheets") +
                            " cannot be made: Not a directory. Nothing was written.");
}

TEST_CASE("names of files are letters, digits and dashes") {
  CHECK(file_stem("2026-04-02 Larkfield Hall") == "2026-04-02-larkfield-hall");
  CHECK(file_stem("../../etc/passwd") == "etc-passwd");
  CHECK(file_stem("S\u00e4\u00e4l 7!") == "s-l-7");
  CHECK(file_stem("...").empty());
}

TEST_CASE("two visits in words: again, new, quiet, needless") {
  const auto words = visit_words(visit({2600.0, 400.0}), visit({2650.0, 900.0}), "wedge");
  REQUIRE(words.size() == 4);
  CHECK(words[0] == "Rang again: 2.65 kHz (was 2.60 kHz).");  // 33 cents apart
  CHECK(words[1] == "New this time: 900 Hz.");
  CHECK(words[2] == "Quiet this time: 400 Hz.");
  CHECK(words[3] == "Cuts of then that nothing asked for now: 400 Hz.");
  CHECK(visit_words(visit({}), visit({}), "mains").size() == 1);
}
