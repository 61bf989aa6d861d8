#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>

#include "io/sound_file.h"
#include "support/files.h"
#include "support/sentence.h"
#include "support/skip.h"
#include "support/sounds.h"

using namespace brink;
using nlohmann::json;
using tests::check_sentence;
using tests::has;
using tests::Outcome;
using tests::RawWav;
using tests::RingSound;
using tests::run_brink;
using tests::TemporaryDirectory;

namespace {

void write_sound(const std::string& path,
                 int channels,
                 const std::vector<float>& samples,
                 io::SampleFormat format = io::SampleFormat::kInt24,
                 double sample_rate_hz = 48000.0) {
  io::SoundWriter writer(path, sample_rate_hz, channels, format);
  const std::vector<std::span<const float>> block(static_cast<std::size_t>(channels), samples);
  writer.write(block);
  writer.close();
}

json only_report(const Outcome& outcome) {
  CAPTURE(outcome.err);
  REQUIRE(std::count(outcome.out.begin(), outcome.out.end(), '\n') == 1);
  return json::parse(outcome.out);
}

/// Big-endian 16-bit AIFF of one channel at 48 kHz (AIFF 1.3, 1989).
std::string aiff_bytes(const std::vector<float>& samples) {
  const auto put = [](std::string& out, unsigned long number, int bytes) {
    for (int i = bytes - 1; i >= 0; --i) {
      out += static_cast<char>((number >> (8 * i)) & 0xFFU);
    }
  };
  const unsigned long data_bytes = 2 * samples.size();
  std::string out = "FORM";
  put(out, 46 + data_bytes, 4);
  out += "AIFFCOMM";
  put(out, 18, 4);
  put(out, 1, 2);
  put(out, samples.size(), 4);
  put(out, 16, 2);
  out += std::string("\x40\x0E\xBB\x80\0\0\0\0\0\0", 10);
  out += "SSND";
  put(out, 8 + data_bytes, 4);
  put(out, 0, 8);
  for (const float sample : samples) {
    put(out, static_cast<unsigned long>(std::lround(sample * 32767.0F)) & 0xFFFFU, 2);
  }
  return out;
}

}  // namespace

TEST_CASE("the ring of a recording is found in WAV, FLAC and AIFF") {
  const TemporaryDirectory dir;
  const auto samples = RingSound().samples();
  write_sound(dir / "a.wav", 1, samples);
  write_sound(dir / "a.flac", 1, samples);
  tests::write_bytes(dir / "a.aiff", aiff_bytes(samples));
  for (const char* name : {"a.wav", "a.flac", "a.aiff"}) {
    CAPTURE(name);
    const Outcome outcome = run_brink({"analyse", "--format", "json", dir / name});
    CHECK(outcome.status == 0);
    CHECK(outcome.err.empty());
    const json report = only_report(outcome);
    CHECK(report["file"] == dir / name);
    CHECK(report["duration_s"] == 6.0);
    REQUIRE(report["rings"].size() == 1);
    CHECK(report["rings"][0]["frequency_hz"].get<double>() ==
          doctest::Approx(1000.0).epsilon(0.002));
    CHECK(report["cuts"][0]["for_rings"] == json::array({0}));
  }
}

TEST_CASE("by danger: the loudest first, the fainter ones of its time under it, as the JSON says") {
  const std::string clip = std::string(BRINK_TEST_SIGNALS) + "/two_rings.flac";
  const json report = only_report(run_brink({"analyse", "--format=json", clip}));
  const json& places = report["places"];
  REQUIRE(places.size() == 2);
  const json& first = report["rings"][places[0]["loudest"].get<std::size_t>()];
  CHECK(first["frequency_hz"].get<double>() == doctest::Approx(2060.2).epsilon(0.001));
  CHECK(places[0]["folded"].size() == 2);
  CHECK(places[0]["folded"][0]["reason"] == "covered");
  CHECK(places[0]["left_db"] == -first["peak_dbfs"].get<double>());
  const std::string text = run_brink({"analyse", "--order", "danger", clip}).out;
  CHECK(text.find("the most dangerous first") != std::string::npos);
  CHECK(text.find("2060 Hz") < text.find("3707 Hz"));
  CHECK(text.find("under it: 1022 Hz, 45 dB lower at the time") != std::string::npos);
  CHECK(text.find("The whole recording takes 2 cuts") != std::string::npos);
  CHECK(run_brink({"analyse", "--order", "loudness", clip}).status == 2);
}

TEST_CASE("several files side by side come out in their order, one that fails among them") {
  const TemporaryDirectory dir;
  const std::string folder = std::string(BRINK_TEST_SIGNALS) + "/";
  // The longest first, so that the others are done before it.
  const std::vector<std::string> arguments{"analyse",
                                           "--format=json",
                                           folder + "mains_steps.flac",
                                           dir / "missing.wav",
                                           folder + "slow_ring.flac",
                                           folder + "two_rings.flac"};
  const auto with_jobs = [&](const char* jobs) {
    std::vector<std::string> all = arguments;
    all.insert(all.end(), {"--jobs", jobs});
    return all;
  };
  const Outcome alone = run_brink(with_jobs("1"));
  const Outcome beside = run_brink(with_jobs("3"));
  CHECK(alone.status == 2);
  CHECK(beside.status == 2);
  CHECK(beside.out == alone.out);
  CHECK(beside.err == alone.err);
  CHECK(std::count(alone.out.begin(), alone.out.end(), '\n') == 3);
  CHECK(alone.out.find("mains_steps") < alone.out.find("slow_ring"));
  CHECK(run_brink({"analyse", "--jobs", "0", folder + "wedge.flac"}).status == 2);
}

TEST_CASE("--sure flags later, and only what is as sure as that") {
  const TemporaryDirectory dir;
  write_sound(dir / "a.wav", 1, RingSound().samples());
  const json usual = only_report(run_brink({"analyse", "--format=json", dir / "a.wav"}));
  const json surer =
      only_report(run_brink({"analyse", "--format=json", "--sure", "0.95", dir / "a.wav"}));
  REQUIRE(usual["rings"].size() == 1);
  REQUIRE(surer["rings"].size() == 1);
  CHECK(surer["rings"][0]["confidence"].get<double>() >= 0.95);
  CHECK(surer["rings"][0]["flagged_s"].get<double>() >
        usual["rings"][0]["flagged_s"].get<double>());
}

TEST_CASE("64 channels are heard each by itself") {
  const TemporaryDirectory dir;
  RingSound sound;
  sound.sample_rate_hz = 8000.0;  // small; the rate's limit as well
  sound.length_s = 4.0;
  const auto ring = sound.samples();
  const auto bed = tests::white_noise(4.0, 8000.0, -60.0, 5);
  std::vector<std::span<const float>> block(64, bed);
  block[40] = ring;
  {
    io::SoundWriter writer(dir / "show.wav", 8000.0, 64, io::SampleFormat::kInt16);
    writer.write(block);
    writer.close();
  }
  const json report = only_report(run_brink({"analyse", "--format=json", dir / "show.wav"}));
  CHECK(report["channels"] == 64);
  REQUIRE(report["rings"].size() == 1);
  CHECK(report["rings"][0]["channel"] == 41);
  const json one =
      only_report(run_brink({"analyse", "--format=json", "--channel", "41", dir / "show.wav"}));
  json heard = report["rings"];
  CHECK(heard[0]["shares"][0]["channel"] == 41);
  for (const char* key : {"shares", "where", "first"}) {
    heard[0].erase(key);  // what only several channels can say
  }
  CHECK(one["rings"] == heard);
  const json other =
      only_report(run_brink({"analyse", "--format=json", "--channel=40", dir / "show.wav"}));
  CHECK(other["rings"].empty());
}

TEST_CASE("the text is for people: what, when, and the cut") {
  const TemporaryDirectory dir;
  write_sound(dir / "a.wav", 1, RingSound().samples());
  const Outcome outcome = run_brink({"analyse", dir / "a.wav"});
  CHECK(outcome.status == 0);
  CHECK(outcome.err.empty());
  CHECK(has(outcome.out, "1 ring."));
  CHECK(has(outcome.out, "1000 Hz (B5 +21 c)"));  // 1000 Hz lies 21.3 cents over B5, 987.767 Hz
  CHECK(has(outcome.out, "cut 1000 Hz by "));
}

TEST_CASE("one bad file does not lose the others") {
  const TemporaryDirectory dir;
  write_sound(dir / "a.wav", 1, RingSound().samples());
  const Outcome outcome = run_brink(
      {"analyse", "--format", "json", dir / "no.wav", dir / "a.wav", dir / "", dir / "a.wav"});
  CHECK(outcome.status == 2);
  CHECK(std::count(outcome.out.begin(), outcome.out.end(), '\n') == 2);
  CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 2);
  std::istringstream lines(outcome.out);
  for (std::string line; std::getline(lines, line);) {
    CHECK(json::parse(line)["rings"].size() == 1);
  }
}

TEST_CASE("CSV of several files has one header") {
  const TemporaryDirectory dir;
  write_sound(dir / "a,b.wav", 1, RingSound().samples());
  const Outcome outcome =
      run_brink({"analyse", "--format", "csv", dir / "a,b.wav", dir / "a,b.wav"});
  CHECK(outcome.status == 0);
  std::istringstream lines(outcome.out);
  std::vector<std::string> all;
  for (std::string line; std::getline(lines, line);) {
    all.push_back(line);
  }
  REQUIRE(all.size() == 3);
  CHECK(all[0].rfind("file,channel,", 0) == 0);
  CHECK(all[1].rfind("\"" + dir / "a,b.wav" + "\",1,", 0) == 0);
  CHECK(all[2] == all[1]);
}

TEST_CASE("--fail-on-ring tells by its status whether anything rang") {
  const TemporaryDirectory dir;
  write_sound(dir / "ring.wav", 1, RingSound().samples());
  write_sound(dir / "calm.wav", 1, tests::white_noise(2.0, 48000.0, -30.0, 1));
  CHECK(run_brink({"analyse", "--fail-on-ring", dir / "calm.wav"}).status == 0);
  CHECK(run_brink({"analyse", "--fail-on-ring", dir / "ring.wav"}).status == 1);
  CHECK(run_brink({"analyse", dir / "ring.wav"}).status == 0);
  CHECK(run_brink({"analyse", "--fail-on-ring", dir / "ring.wav", dir / "no.wav"}).status == 2);
}

TEST_CASE("--output replaces a file whole, or leaves what was there") {
  const TemporaryDirectory dir;
  write_sound(dir / "a.wav", 1, RingSound().samples());
  const std::string sound = tests::read_bytes(dir / "a.wav");
  const std::string report = dir / "report.json";
  tests::write_bytes(report, "old");
  const Outcome done =
      run_brink({"analyse", "--format=json", "--output", report, "--replace", dir / "a.wav"});
  CHECK(done.status == 0);
  CHECK(done.out.empty());
  CHECK(json::parse(tests::read_bytes(report))["rings"].size() == 1);

  check_sentence(run_brink({"analyse", "--output", dir / "no/such/place.json", dir / "a.wav"}),
                 "cannot be written");
  check_sentence(run_brink({"analyse", "--output", dir / "", dir / "a.wav"}), "cannot be written");
  check_sentence(run_brink({"analyse", "--output", dir / "a.wav", dir / "a.wav"}),
                 "this command reads it");
  CHECK(tests::read_bytes(dir / "a.wav") == sound);

  using Entries = std::filesystem::directory_iterator;
  const auto entries = std::distance(Entries(dir / ""), Entries());
  CHECK(entries == 2);  // nothing temporary is left
}

TEST_CASE("every bad recording is one sentence and status 2") {
  const TemporaryDirectory dir;
  const auto check = [&](const std::string& bytes, const std::string& part) {
    tests::write_bytes(dir / "bad.wav", bytes);
    const Outcome outcome = run_brink({"analyse", "--format", "json", dir / "bad.wav"});
    check_sentence(outcome, part);
    CHECK(outcome.out.empty());
  };
  RawWav wav;
  wav.samples.assign(6500, 0.1F);
  const auto with = [&](unsigned channels, unsigned rate_hz) {
    wav.channels = channels;
    wav.sample_rate_hz = rate_hz;
    return wav.bytes();
  };
  check("", "empty");
  check("this is a letter and no recording", "no WAV, W64, FLAC, AIFF, CAF or Ogg");
  check(with(0, 48000), "0 channels");
  check(with(65, 48000), "65 channels");
  check(with(1, 0), "sample rate of 0 Hz");
  check(with(1, 384000), "sample rate of 384000 Hz");
  check(with(1, 48000).substr(0, 30), "damaged");
  check(with(1, 48000).substr(0, 44), "no samples");
  wav.samples.assign(6500, std::numeric_limits<float>::quiet_NaN());
  check(with(1, 48000), "not one sample in it is a number");
  check_sentence(run_brink({"analyse", dir / "missing.wav"}), "no such file");
  check_sentence(run_brink({"analyse", dir / ""}), "directory");
  check_sentence(run_brink({"analyse", "/dev/zero"}), "no regular file");
}

TEST_CASE("a recording that was cut short is analysed as far as it goes, with status 2") {
  const TemporaryDirectory dir;
  RawWav wav;
  wav.samples = RingSound().samples();
  tests::write_bytes(dir / "cut.wav", wav.bytes().substr(0, 44 + 4 * 5 * 48000));
  const Outcome outcome = run_brink({"analyse", "--format", "json", dir / "cut.wav"});
  check_sentence(outcome, "of the 6.00 s that its header promises, only the first 5.00 s");
  const json report = only_report(outcome);
  CHECK(report["rings"].size() == 1);
  CHECK(report["duration_s"] == 5.0);
}

TEST_CASE("bad use is one sentence and status 2") {
  check_sentence(run_brink({"analyse"}), "FILE is required");
  check_sentence(run_brink({"analyse", "--format", "xml", "a.wav"}), "--format");
  check_sentence(run_brink({"analyse", "--channel", "0", "a.wav"}), "--channel takes a number");
  check_sentence(run_brink({"analyse", "--channel", "two", "a.wav"}), "--channel takes a number");
  check_sentence(run_brink({"analyse", "--channel", "65", "a.wav"}), "--channel takes a number");
  check_sentence(run_brink({"analyse", "--sure", "1", "a.wav"}), "from 0 to 0.99");
  check_sentence(run_brink({"analyse", "--sideways", "a.wav"}), "--sideways");
  check_sentence(run_brink({"sing"}), "sing");
}

TEST_CASE("help and version go to stdout, with an example") {
  for (const Outcome& outcome : {run_brink({"analyse", "--help"}), run_brink({"--help"})}) {
    CHECK(outcome.status == 0);
    CHECK(outcome.err.empty());
    CHECK(has(outcome.out, "analyse"));
  }
  CHECK(has(run_brink({"analyse", "--help"}).out, "brink analyse soundcheck.wav"));
  CHECK(run_brink({"--version"}).out.rfind("brink 0.", 0) == 0);
}

TEST_CASE("a reader that leaves ends it quietly, a full disk does not") {
  const TemporaryDirectory dir;
  write_sound(dir / "a.wav", 1, tests::white_noise(0.5, 48000.0, -30.0, 1));
  tests::RunOptions reader_leaves;
  reader_leaves.out_is_closed_early = true;
  const Outcome left = run_brink({"analyse", dir / "a.wav", dir / "a.wav"}, reader_leaves);
  CHECK(left.status == 0);
  CHECK(left.err.empty());
}

TEST_CASE("a full disk is said") {
  if (!std::filesystem::exists("/dev/full")) {
    tests::skip("this system has no /dev/full");
    return;
  }
  const TemporaryDirectory dir;
  write_sound(dir / "a.wav", 1, tests::white_noise(0.5, 48000.0, -30.0, 1));
  tests::RunOptions disk_full;
  disk_full.out_path = "/dev/full";
  check_sentence(run_brink({"analyse", dir / "a.wav"}, disk_full), "cannot be written");
  check_sentence(run_brink({"analyse", "--output", "/dev/full", dir / "a.wav"}),
                 "cannot be written");
}

TEST_CASE("an interrupted run leaves no half of a report and nothing temporary") {
  const TemporaryDirectory dir;
  // A minute of 64 channels at 192 kHz, all of it a hole in the file: at work for much longer than
  // the signal takes to come, and no load on the disk.
  RawWav wav;
  wav.channels = 64;
  wav.claimed_bytes = 64LL * 4 * 192000 * 60;
  wav.sample_rate_hz = 192000;
  tests::write_bytes(dir / "long.wav", wav.bytes());
  std::filesystem::resize_file(dir / "long.wav",
                               44 + static_cast<std::uintmax_t>(wav.claimed_bytes));
  tests::write_bytes(dir / "report.txt", "old");
  tests::RunOptions options;
  options.signal_after_ms = 300;
  const Outcome outcome = run_brink(
      {"analyse", "--output", dir / "report.txt", "--replace", dir / "long.wav"}, options);
  CHECK(outcome.status == 130);  // 128 and SIGINT, as shells have it
  CHECK(tests::read_bytes(dir / "report.txt") == "old");
  using Entries = std::filesystem::directory_iterator;
  CHECK(std::distance(Entries(dir / ""), Entries()) == 2);
}

TEST_CASE("a name for a channel that a recording does not have is told, and the rest is done") {
  const TemporaryDirectory dir;
  const std::string file = std::string(BRINK_TEST_SIGNALS) + "/fast_ring.flac";
  const auto analyse = [&](const char* names) {
    tests::write_bytes(dir / "names.txt", names);
    return run_brink({"analyse", "--quiet", "--names", dir / "names.txt", file});
  };
  const Outcome beyond = analyse("1 vocal\n17 output wedge 1\n");
  CHECK(beyond.status == 0);
  CHECK(beyond.err.find("names.txt names channel 17, and the last one of ") != std::string::npos);
  CHECK(beyond.err.find("fast_ring.flac is 1; names beyond it are left out.\n") !=
        std::string::npos);
  CHECK(beyond.out.find("1 ring") != std::string::npos);
  CHECK(analyse("1 vocal\n").err.empty());
}

TEST_CASE("names that look odd are names all the same") {
  const TemporaryDirectory dir;
  const auto sound = tests::white_noise(0.5, 48000.0, -30.0, 1);
  write_sound(dir / "--all.wav", 1, sound);
  write_sound(dir / "caf\xe9.wav", 1, sound);
  tests::RunOptions there;
  there.directory = dir / "";
  CHECK(run_brink({"analyse", "--", "--all.wav"}, there).status == 0);
  const json report = only_report(run_brink({"analyse", "--format=json", dir / "caf\xe9.wav"}));
  CHECK(report["file"] == dir / "caf\xef\xbf\xbd.wav");
}
