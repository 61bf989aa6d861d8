#include "desk/recording_marks.h"

#include <doctest/doctest.h>

#include <string>

#include "base/error.h"
#include "support/files.h"

using namespace brink;

TEST_CASE("a recording is known again under another name, and not when a piece of it changed") {
  const tests::TemporaryDirectory folder;
  std::string bytes(300000, 'a');
  tests::write_bytes(folder / "a.wav", bytes);
  tests::write_bytes(folder / "b.wav", bytes);
  const std::string fingerprint = desk::recording_fingerprint(folder / "a.wav");
  CHECK(fingerprint.size() == 16);
  CHECK(desk::recording_fingerprint(folder / "b.wav") == fingerprint);
  tests::write_bytes(folder / "b.wav", bytes + "a");
  CHECK(desk::recording_fingerprint(folder / "b.wav") != fingerprint);
  bytes[150000] = 'b';
  tests::write_bytes(folder / "b.wav", bytes);
  CHECK(desk::recording_fingerprint(folder / "b.wav") != fingerprint);
  CHECK_THROWS_AS((void)desk::recording_fingerprint(folder / "missing.wav"), base::Error);
}

TEST_CASE("an empty file hashes to the published basis of its length's text") {
  // FNV-1a, 64 bits, of the byte '0': (0xcbf29ce484222325 ^ 0x30) * 0x100000001b3.
  const tests::TemporaryDirectory folder;
  tests::write_bytes(folder / "empty.wav", "");
  CHECK(desk::recording_fingerprint(folder / "empty.wav") == "af63ad4c86019caf");
}

TEST_CASE("marks come back as they were kept, and no other file is taken or replaced") {
  const tests::TemporaryDirectory folder;
  const std::string path = desk::marks_path(folder / "book.sqlite", "0123456789abcdef");
  CHECK(desk::load_marks(path) == desk::RecordingMarks{});
  desk::RecordingMarks marks{"last night, \"outside\"", {{3, 2060.204, 5.5012, true, "wedge"}}};
  desk::save_marks(path, marks);
  CHECK(desk::load_marks(path) == marks);
  marks.marks.clear();
  desk::save_marks(path, marks);
  CHECK(desk::load_marks(path) == marks);
  for (const char* const place : {R"({"channel":0,"frequency_hz":100,"onset_s":1})",
                                  R"({"channel":-1e300,"frequency_hz":100,"onset_s":1})",
                                  R"({"channel":1,"frequency_hz":-100,"onset_s":1})"}) {
    tests::write_bytes(
        path, std::string(R"({"schema":"brink/marks/1","note":"","places":[)") + place + "]}");
    CHECK_THROWS_AS((void)desk::load_marks(path), base::Error);
  }
  tests::write_bytes(path, "{\"schema\":\"other\"}");
  CHECK_THROWS_WITH_AS(
      (void)desk::load_marks(path), doctest::Contains("it is damaged"), base::Error);
  CHECK_THROWS_AS(desk::save_marks(path, marks), base::Error);
  CHECK(tests::read_bytes(path) == "{\"schema\":\"other\"}");
}
