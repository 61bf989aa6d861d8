// The disk refuses every write in turn: full, and broken. Each time it is said in one sentence,
// what was there is there as before, and what waits is written once the disk takes it.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/error.h"
#include "desk/microphones.h"
#include "desk/recording_marks.h"
#include "desk/settings.h"
#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "io/sound_file.h"
#include "io/whole_file.h"
#include "io/whole_sound.h"
#include "support/book_samples.h"
#include "support/faults/fault.h"
#include "support/files.h"

using namespace brink;
using tests::Fault;
using tests::FaultKind;
using tests::read_bytes;
namespace fs = std::filesystem;

namespace {

constexpr double kPatienceS = 20.0;

bool is_sentence(const std::string& text) {
  return text.size() > 2 && text.back() == '.' && text.find('\n') == std::string::npos;
}

/// `save` puts something new into the place of the file. Returns how many writes were refused.
int refuse_each_write(const std::string& path, const std::function<void()>& save) {
  const std::string folder = fs::path(path).parent_path().string();
  const std::string old = read_bytes(path);
  int refused = 0;
  for (const FaultKind kind : {FaultKind::kFull, FaultKind::kBroken}) {
    for (long write = 1;; ++write) {
      std::string sentence;
      bool was_met = false;
      {
        const Fault fault(kind, write);
        try {
          save();
        } catch (const base::Error& refusal) {
          sentence = refusal.what();
        }
        was_met = Fault::was_met();
      }
      if (!was_met) {
        break;
      }
      CAPTURE(write);
      CAPTURE(sentence);
      CHECK(is_sentence(sentence));
      CHECK(read_bytes(path) == old);
      CHECK(std::distance(fs::directory_iterator(folder), fs::directory_iterator()) == 1);
      ++refused;
    }
    tests::write_bytes(path, old);
  }
  save();
  CHECK(read_bytes(path) != old);
  return refused;
}

}  // namespace

TEST_CASE("small files that brink keeps survive a disk that refuses any write") {
  const tests::TemporaryDirectory directory;
  SUBCASE("settings") {
    const std::string path = directory / "settings.json";
    desk::save_settings(path, {});
    desk::Settings changed;
    changed.venue = "Larkfield Hall";
    CHECK(refuse_each_write(path, [&] { desk::save_settings(path, changed); }) >= 2);
  }
  SUBCASE("calibrated microphones") {
    const std::string path = directory / "microphones.json";
    desk::CalibratedMicrophone microphone;
    microphone.input = "front";
    desk::remember_microphone(path, microphone);
    microphone.channel = 2;
    CHECK(refuse_each_write(path, [&] { desk::remember_microphone(path, microphone); }) >= 2);
  }
  SUBCASE("marks of a recording") {
    const std::string path = directory / "marks.json";
    desk::save_marks(path, {});
    CHECK(refuse_each_write(path, [&] { desk::save_marks(path, {"a note", {}}); }) >= 2);
  }
  SUBCASE("a file that has two names, and so keeps its place") {
    const tests::TemporaryDirectory elsewhere;
    const std::string path = directory / "twice.txt";
    tests::write_bytes(path, "old");
    fs::create_hard_link(path, elsewhere / "other");
    // The last writes are into the file itself: their room was secured before, so that a full disk
    // cannot meet them. A disk that breaks there is met by nobody.
    const Fault fault(FaultKind::kFull, 2);
    CHECK_THROWS_AS(
        [&] {
          io::WholeFile file(path, {{}, true, {}});
          file.append("new and longer");
          file.commit();
        }(),
        base::Error);
    CHECK(read_bytes(path) == "old");
  }
}

TEST_CASE("a sound that is rendered survives a disk that refuses any write") {
  const tests::TemporaryDirectory directory;
  const std::string path = directory / "take.wav";
  const auto record = [&](float level) {
    io::WholeFile file(path, {{io::kStageComment}, false, {}});
    io::SoundWriter writer(file, 48000.0, 1, io::SampleFormat::kInt16, io::kStageComment);
    writer.write(std::vector<float>(48000, level));
    writer.close();
    file.commit();
  };
  record(0.5F);
  CHECK(refuse_each_write(path, [&] { record(0.25F); }) >= 4);
}

namespace {

/// One show is kept while every write from one on is refused. Returns whether any was.
bool keep_on_refusing_disk(const std::string& path, FaultKind kind, long write) {
  bool was_met = false;
  {
    std::optional<Fault> fault(std::in_place, kind, write);
    io::Book book(path);
    const bool is_kept = book.wait_for(book.keep(tests::sample_show(2)), kPatienceS);
    const std::string trouble = book.trouble().value_or("");
    CAPTURE(trouble);
    CHECK(is_kept == trouble.empty());
    CHECK((is_kept || is_sentence(trouble)));
    was_met = Fault::was_met();
    fault.reset();
  }  // the book ends: what waits is written now
  io::BookReader reader(path);
  CHECK(reader.faults().empty());
  CHECK(reader.show(tests::sample_show(2).key) == tests::sample_show(2));
  return was_met;
}

}  // namespace

TEST_CASE("a book survives a disk that refuses any write, and keeps what waits") {
  const tests::TemporaryDirectory directory;
  const std::string first = directory / "first.sqlite";
  {
    io::Book book(first);
    REQUIRE(book.wait_for(book.keep(tests::sample_show(1)), kPatienceS));
  }
  const std::string path = directory / "book.sqlite";
  for (const FaultKind kind : {FaultKind::kFull, FaultKind::kBroken}) {
    for (const bool is_new : {true, false}) {
      long write = 1;
      for (bool was_met = true; was_met; ++write) {
        CAPTURE(is_new);
        CAPTURE(write);
        for (const char* const end : {"", "-wal", "-shm", ".lock"}) {
          fs::remove(path + end);
        }
        if (!is_new) {
          fs::copy_file(first, path);
        }
        was_met = keep_on_refusing_disk(path, kind, write);
        CHECK((is_new ||
               io::BookReader(path).show(tests::sample_show(1).key) == tests::sample_show(1)));
      }
      MESSAGE(std::string(is_new ? "new" : "old"), " book: ", write - 2, " writes refused");
      CHECK(write > 6);
    }
  }
}
