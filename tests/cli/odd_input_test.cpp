#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>

#include "io/book/book.h"
#include "io/sound_file.h"
#include "support/book_samples.h"
#include "support/files.h"
#include "support/sentence.h"
#include "support/skip.h"
#include "support/sounds.h"

using namespace brink;
using tests::check_sentence;
using tests::has;
using tests::Outcome;
using tests::run_brink;
using tests::TemporaryDirectory;
using tests::write_bytes;

namespace {

namespace fs = std::filesystem;

/// A number in little-endian bytes.
std::string little(std::uint64_t number, int bytes) {
  std::string text;
  for (int at = 0; at < bytes; ++at) {
    text += static_cast<char>(number >> (8 * at) & 0xFFU);
  }
  return text;
}

}  // namespace

TEST_CASE("a target that cannot be read is said to be just that") {
  const TemporaryDirectory dir;
  fs::create_symlink("loop", dir / "loop");
  const auto refuse = [](const std::string& target, const std::string& why) {
    check_sentence({"plan", "--rings", "1000", "--target", target}, why);
  };
  refuse(dir / "loop", "Too many levels of symbolic links");
  refuse(dir / std::string(300, 'n'), "File name too long");
  refuse(dir / "none.txt", "is no file and none of the targets at hand");
  refuse("/dev/zero", "is a device");
  refuse(dir / ".", "Is a directory");
}

TEST_CASE("a target in a folder without permission is said to be just that") {
  if (geteuid() == 0) {
    tests::skip("nothing is forbidden to root");
    return;
  }
  const TemporaryDirectory dir;
  fs::create_directory(dir / "closed");
  write_bytes(dir / "closed/target.txt", "kind = parametric\n");
  fs::permissions(dir / "closed", fs::perms::none);
  check_sentence({"plan", "--rings", "1000", "--target", dir / "closed/target.txt"},
                 "Permission denied");
  fs::permissions(dir / "closed", fs::perms::owner_all);
}

TEST_CASE("a book that is a device, a directory or behind a link loop is no book") {
  const TemporaryDirectory dir;
  fs::create_symlink("loop", dir / "loop");
  for (const char* command : {"list", "check", "export", "scores", "sheet"}) {
    CAPTURE(command);
    check_sentence({"book", command, "--book", "/dev/zero"}, "is no file; a book is one");
    check_sentence({"book", command, "--book", dir / "."}, "is a directory");
    check_sentence({"book", command, "--book", dir / "loop"}, "Too many levels");
    check_sentence({"book", command, "--book", dir / std::string(300, 'n')}, "File name too long");
  }
}

TEST_CASE("recordings that are not what they promise") {
  const TemporaryDirectory dir;
  tests::RawWav wav;
  wav.samples.assign(4000, 0.1F);
  SUBCASE("MP3 inside a WAV") {
    std::string bytes = wav.bytes();
    bytes[20] = 0x55;  // RFC 2361
    write_bytes(dir / "a.wav", bytes);
    check_sentence({"analyse", dir / "a.wav"}, "what is inside this WAV is MP3");
  }
  SUBCASE("more bytes than there can be") {
    const std::string fmt = wav.bytes().substr(12, 24);
    const std::string samples = wav.bytes().substr(44);
    const std::uint64_t most = 0x7FFFFFFFFFFFFFFFU;
    write_bytes(dir / "a.wav",
                "RF64" + little(0xFFFFFFFFU, 4) + "WAVEds64" + little(28, 4) + little(most, 8) +
                    little(most, 8) + little(most / 4, 8) + little(0, 4) + fmt + "data" +
                    little(0xFFFFFFFFU, 4) + samples);
    check_sentence({"analyse", dir / "a.wav"}, "which no file holds");
  }
  SUBCASE("a FLAC that ends before its first block") {
    io::SoundWriter writer(dir / "whole.flac", 48000.0, 1, io::SampleFormat::kInt16);
    writer.write(tests::white_noise(1.0, 48000.0, -20.0, 1));
    writer.close();
    const std::string whole = tests::read_bytes(dir / "whole.flac");
    // After the marker and the blocks of metadata (RFC 9639, section 8.1).
    std::size_t end = 4;
    for (bool is_last = false; !is_last;) {
      const auto byte = [&](std::size_t at) { return static_cast<unsigned char>(whole[end + at]); };
      is_last = (byte(0) & 0x80U) != 0;
      end += 4 + (std::size_t{byte(1)} << 16U | std::size_t{byte(2)} << 8U | byte(3));
    }
    write_bytes(dir / "a.flac", whole.substr(0, end));
    check_sentence({"analyse", dir / "a.flac"}, "there are no samples in it");
    CHECK(run_brink({"analyse", dir / "whole.flac"}).status == 0);
  }
}

TEST_CASE("a stage's delay is looked at before the room is made") {
  check_sentence({"stage", "--console-delay", "1e6"}, "console delay must be 0 to 0.5 s");
  check_sentence({"stage", "--console-delay", "-1"}, "console delay must be 0 to 0.5 s");
}

TEST_CASE("more rings than a plan takes, and more cuts than a sheet holds") {
  const TemporaryDirectory dir;
  std::string rings = "1000";
  for (int ring = 1; ring < 65; ++ring) {
    rings += "," + std::to_string(1000 + ring);
  }
  check_sentence({"plan", "--rings", rings}, "65 frequencies are more than the 64");
  const std::string book = dir / "book.sqlite";
  {
    io::Book writer(book);
    show::ShowRecord show = tests::sample_show(1, 1, 1);
    show.outputs[0].cuts.assign(1001, {1000.0, 8.0, -3.0});
    REQUIRE(writer.wait_for(writer.keep(show), 30.0));
  }
  check_sentence({"book", "sheet", "--book", book, "--output", dir / "sheet.html"},
                 "a sheet holds 1000 of each");
  CHECK(!fs::exists(dir / "sheet.html"));
}

TEST_CASE("a name cannot steer the terminal it is told on") {
  const Outcome outcome = run_brink({"analyse",
                                     "a\x1b[2J\xC2\x9B"
                                     "b\xE2\x80\xAE.wav"});
  CHECK(outcome.status == 2);
  CHECK(has(outcome.err, "a?[2J?b?.wav"));
}
