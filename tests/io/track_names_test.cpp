// Names of channels in the header of a recording (iXML, an open specification by Gallery).

#include "io/track_names.h"

#include <doctest/doctest.h>

#include <cstdint>
#include <string>
#include <vector>

#include "io/sound_file.h"
#include "support/files.h"

using namespace brink;

namespace {

const std::string kTracks =
    "<?xml version=\"1.0\" "
    "encoding=\"UTF-8\"?><BWFXML><IXML_VERSION>1.61</IXML_VERSION><TRACK_LIST>"
    "<TRACK_COUNT>2</TRACK_COUNT>"
    "<TRACK><CHANNEL_INDEX>7</CHANNEL_INDEX><INTERLEAVE_INDEX>2</INTERLEAVE_INDEX>"
    "<NAME>Snare &amp; hat</NAME></TRACK>"
    "<TRACK><CHANNEL_INDEX>5</CHANNEL_INDEX><INTERLEAVE_INDEX>1</INTERLEAVE_INDEX>"
    "<NAME>Kick</NAME></TRACK></TRACK_LIST></BWFXML>";

std::string le32(std::size_t number) {
  std::string bytes;
  for (unsigned shift = 0; shift < 32; shift += 8) {
    bytes += static_cast<char>((number >> shift) & 0xFFU);
  }
  return bytes;
}

/// A WAV of two channels with a chunk behind its samples.
std::string wav_with_chunk(const std::string& id, std::string text) {
  text += text.size() % 2 == 0 ? "" : std::string(1, '\0');
  const std::string samples(4 * 4800, '\1');
  std::string body = "WAVEfmt " + le32(16) + std::string("\1\0\2\0", 4) + le32(48000) +
                     le32(4 * 48000) + std::string("\4\0\20\0", 4);
  body += "data" + le32(samples.size()) + samples + id + le32(text.size()) + text;
  return "RIFF" + le32(body.size()) + body;
}

}  // namespace

TEST_CASE("a track's name belongs to its place in the file") {
  CHECK(io::track_names(kTracks, 3) == std::vector<std::string>{"Kick", "Snare & hat", ""});
  CHECK(io::track_names(kTracks, 1) == std::vector<std::string>{"Kick"});
}

TEST_CASE("text that is no list of tracks has no names") {
  for (const std::string& text :
       {std::string(),
        std::string("\0\0", 2),
        std::string("<BWFXML>"),
        std::string("<BWFXML><TRACK_LIST><TRACK><NAME>a</NAME></TRACK></TRACK_LIST></BWFXML>"),
        std::string("<BWFXML><TRACK_LIST><TRACK><INTERLEAVE_INDEX>-1</INTERLEAVE_INDEX>"
                    "<NAME>a</NAME></TRACK></TRACK_LIST></BWFXML>"),
        std::string(100000, '<')}) {
    CHECK(io::track_names(text, 2) == std::vector<std::string>{"", ""});
  }
}

TEST_CASE("a recording tells the names of its channels") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "show.wav";
  tests::write_bytes(path, wav_with_chunk("iXML", kTracks));
  CHECK(io::SoundReader(path).channel_names() == std::vector<std::string>{"Kick", "Snare & hat"});
  tests::write_bytes(path, wav_with_chunk("iXML", kTracks.substr(0, 200)));
  CHECK(io::SoundReader(path).channel_names() == std::vector<std::string>{"", ""});
  tests::write_bytes(path, wav_with_chunk("note", kTracks));
  io::SoundReader reader(path);
  CHECK(reader.channel_names() == std::vector<std::string>{"", ""});
  CHECK(reader.next_block());
}
