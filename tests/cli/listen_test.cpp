#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <bit>
#include <chrono>
#include <cmath>
#include <complex>
#include <csignal>
#include <cstdint>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <sstream>
#include <thread>
#include <utility>

#include "io/sound_file.h"
#include "support/files.h"
#include "support/process.h"
#include "support/program.h"
#include "support/skip.h"
#include "support/sounds.h"
#include "support/two_taps.h"
#include "support/udp.h"

using namespace brink;
using nlohmann::json;
using tests::Process;
using tests::RingSound;
using tests::TemporaryDirectory;

namespace {

constexpr double kPatienceS = 20.0;  // only ever spent when something hangs

std::vector<std::string> listen_words(const std::vector<std::string>& options) {
  std::vector<std::string> words{tests::tested_program(), "listen", "--stdin"};
  words.insert(words.end(), options.begin(), options.end());
  return words;
}

struct Heard {
  int status = -1;
  std::vector<json> events;
  std::string err;
};

std::vector<json> rest_of(Process& process) {
  std::vector<json> events;
  while (const auto line = process.read_line(kPatienceS)) {
    events.push_back(json::parse(*line));
  }
  return events;
}

/// `brink listen --stdin` on these bytes.
Heard hear(const std::string& bytes, const std::vector<std::string>& options) {
  const TemporaryDirectory dir;
  Heard heard;
  Process process(listen_words(options), {dir / "err", {}});
  {
    const std::jthread writer([&] {
      static_cast<void>(process.write(bytes));
      process.close_input();
    });
    heard.events = rest_of(process);
  }
  heard.status = process.wait(kPatienceS).value_or(-1);
  heard.err = tests::read_bytes(dir / "err");
  return heard;
}

std::string float_bytes(const std::vector<float>& samples) {
  return {reinterpret_cast<const char*>(samples.data()), samples.size() * sizeof(float)};
}

/// Whole numbers of `width` bytes, little-endian, full scale at 2^(bits-1).
std::string whole_bytes(const std::vector<float>& samples, int width) {
  std::string bytes;
  for (const float sample : samples) {
    const double full_scale = std::pow(2.0, 8 * width - 1);
    const auto number = static_cast<std::int64_t>(std::clamp(
        std::round(static_cast<double>(sample) * full_scale), -full_scale, full_scale - 1));
    for (int i = 0; i < width; ++i) {
      bytes += static_cast<char>((static_cast<std::uint64_t>(number) >> (8 * i)) & 0xFFU);
    }
  }
  return bytes;
}

std::vector<json> of_kind(const std::vector<json>& events, const std::string& kind) {
  std::vector<json> found;
  std::copy_if(events.begin(), events.end(), std::back_inserter(found), [&](const json& event) {
    return event["event"] == kind;
  });
  return found;
}

/// Rings that were certain, as the events of their ends tell them: the keys of an analysis.
std::vector<json> final_rings(const std::vector<json>& events) {
  std::vector<json> rings;
  for (const json& event : of_kind(events, "gone")) {
    if (!event["ring"]["flagged_s"].is_null()) {
      json ring = event["ring"];
      ring.erase("id");
      rings.push_back(ring);
    }
  }
  std::sort(rings.begin(), rings.end(), [](const json& a, const json& b) {
    return std::pair(a["onset_s"].get<double>(), a["channel"].get<int>()) <
           std::pair(b["onset_s"].get<double>(), b["channel"].get<int>());
  });
  return rings;
}

json analysis_of(const std::string& path) {
  const tests::Outcome outcome = tests::run_brink({"analyse", "--format", "json", path});
  REQUIRE(outcome.status == 0);
  return json::parse(outcome.out);
}

/// Two rings, one on each channel, on programme of noise.
std::array<std::vector<float>, 2> two_rings() {
  RingSound low;
  low.frequency_hz = 330.0;
  low.onset_s = 2.0;
  low.seed = 9;
  return {RingSound{}.samples(), low.samples()};
}

std::vector<float> weave(const std::array<std::vector<float>, 2>& channels) {
  std::vector<float> both;
  for (std::size_t i = 0; i < channels[0].size(); ++i) {
    both.push_back(channels[0][i]);
    both.push_back(channels[1][i]);
  }
  return both;
}

void write_file(const std::string& path,
                const std::array<std::vector<float>, 2>& channels,
                io::SampleFormat format) {
  io::SoundWriter writer(path, 48000.0, 2, format);
  const std::array<std::span<const float>, 2> block{channels[0], channels[1]};
  writer.write(block);
  writer.close();
}

std::array<std::vector<float>, 2> read_file(const std::string& path) {
  io::SoundReader reader(path);
  REQUIRE(reader.channels() == 2);
  std::array<std::vector<float>, 2> all;
  while (reader.next_block()) {
    for (int c = 0; c < 2; ++c) {
      const auto block = reader.channel(c);
      auto& channel = all[static_cast<std::size_t>(c)];
      channel.insert(channel.end(), block.begin(), block.end());
    }
  }
  return all;
}

void check_refused(const Heard& heard, const std::string& part) {
  CAPTURE(heard.err);
  CHECK(heard.status == 2);
  CHECK(heard.events.empty());
  CHECK(heard.err.rfind("brink: ", 0) == 0);
  CHECK(heard.err.find(part) != std::string::npos);
  CHECK(std::count(heard.err.begin(), heard.err.end(), '\n') == 1);
}

}  // namespace

TEST_CASE("listening to samples gives the rings that an analysis of the same samples gives") {
  const TemporaryDirectory dir;

  struct Form {
    const char* word;
    io::SampleFormat file_format;
    int width;  // of whole numbers; 0 for float
  };

  for (const Form& form : {Form{"f32", io::SampleFormat::kFloat, 0},
                           Form{"s16", io::SampleFormat::kInt16, 2},
                           Form{"s24", io::SampleFormat::kInt24, 3},
                           Form{"s32", io::SampleFormat::kInt24, 4}}) {
    CAPTURE(std::string(form.word));
    const std::string path = dir / (std::string(form.word) + ".wav");
    write_file(path, two_rings(), form.file_format);
    // The file's own samples, whatever the writer's rounding made of them.
    const std::vector<float> both = weave(read_file(path));
    const std::string bytes = form.width == 0 ? float_bytes(both) : whole_bytes(both, form.width);
    const Heard heard =
        hear(bytes, {"--rate", "48000", "--channels", "2", "--sample-format", form.word});
    CHECK(heard.status == 0);
    CHECK(heard.err == "");
    const json analysis = analysis_of(path);
    REQUIRE(analysis["rings"].size() == 2);
    CHECK(json(final_rings(heard.events)) == analysis["rings"]);
  }
}

TEST_CASE("each state of a ring is a line, in order, with the tap it was heard on") {
  const Heard heard =
      hear(float_bytes(weave(two_rings())), {"--rate", "48000", "--channels", "2", "--taps", "2"});
  REQUIRE(heard.events.size() >= 3);
  double last_s = 0.0;
  for (const json& event : heard.events) {
    CHECK(event["schema"] == "brink/event/1");
    CHECK(event["tap"] == 2);
    CHECK(event["ring"]["channel"] == 2);
    CHECK(event["stream_s"] >= last_s);
    CHECK(event["wall"].get<std::string>().size() == 29);
    last_s = event["stream_s"];
  }
  const auto ringing = of_kind(heard.events, "ringing");
  REQUIRE(ringing.size() == 1);
  CHECK(ringing[0]["stream_s"] == ringing[0]["ring"]["flagged_s"]);
  CHECK(ringing[0]["ring"]["frequency_hz"].get<double>() == doctest::Approx(330.0).epsilon(0.001));
  CHECK(ringing[0]["ring"]["cut"]["depth_db"] < 0.0);
  CHECK(of_kind(heard.events, "fading").size() == 1);
  CHECK(of_kind(heard.events, "gone").size() >= 1);
}

TEST_CASE("a line comes as soon as the ring is certain, and not when the stream ends") {
  Process process(listen_words({"--rate", "48000"}));
  CHECK(process.write(float_bytes(RingSound{}.samples())));
  bool is_ringing = false;
  while (!is_ringing) {
    const auto line = process.read_line(kPatienceS);
    REQUIRE(line.has_value());  // the pipe is open yet
    is_ringing = json::parse(*line)["event"] == "ringing";
  }
  process.close_input();
  CHECK(process.wait(kPatienceS) == 0);
}

TEST_CASE("an interrupt ends it cleanly: the rings are gone, the status is 0") {
  for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
    RingSound sound;
    sound.length_s = 3.0;  // still sounding
    Process process(listen_words({"--rate", "48000"}));
    CHECK(process.write(float_bytes(sound.samples())));
    while (const auto line = process.read_line(kPatienceS)) {
      if (json::parse(*line)["event"] == "ringing") {
        break;
      }
    }
    process.send_signal(number);
    const auto events = rest_of(process);
    CHECK(process.wait(kPatienceS) == 0);
    REQUIRE(of_kind(events, "gone").size() == 1);
    CHECK(of_kind(events, "gone")[0]["ring"]["flagged_s"].is_number());
  }
}

TEST_CASE("a reader that leaves ends it quietly, even before there is anything to read") {
  const TemporaryDirectory dir;
  Process process(listen_words({"--rate", "48000"}), {dir / "err", {}});
  CHECK(process.write(float_bytes(std::vector<float>(4800, 0.001F))));
  process.close_output();
  CHECK(process.wait(kPatienceS) == 0);
  CHECK(tests::read_bytes(dir / "err") == "");
}

TEST_CASE("--fail-on-ring tells a script") {
  const std::string ring = float_bytes(RingSound{}.samples());
  CHECK(hear(ring, {"--rate", "48000", "--fail-on-ring"}).status == 1);
  const std::string noise = float_bytes(tests::white_noise(2.0, 48000.0, -40.0, 3));
  CHECK(hear(noise, {"--rate", "48000", "--fail-on-ring"}).status == 0);
}

TEST_CASE("a recording holds exactly what was heard, and gives the same rings") {
  const TemporaryDirectory dir;
  const auto channels = two_rings();
  const Heard heard = hear(float_bytes(weave(channels)),
                           {"--rate", "48000", "--channels", "2", "--record", dir / "kept.wav"});
  CHECK(heard.status == 0);
  CHECK(io::SoundReader(dir / "kept.wav").sample_rate_hz() == 48000.0);
  CHECK(read_file(dir / "kept.wav") == channels);
  CHECK(json(final_rings(heard.events)) == analysis_of(dir / "kept.wav")["rings"]);
}

TEST_CASE("a recording outlives the program that is killed") {
  const TemporaryDirectory dir;
  Process process(listen_words({"--rate", "48000", "--record", dir / "kept.wav"}));
  RingSound sound;
  sound.length_s = 5.0;
  sound.cut_s = 9.0;
  const std::vector<float> samples = sound.samples();
  CHECK(process.write(float_bytes(samples)));
  while (const auto line = process.read_line(kPatienceS)) {
    if (json::parse(*line)["event"] == "ringing") {
      break;
    }
  }
  // The ring is certain in the second second; let the rest, which fits into no pipe, be taken.
  std::this_thread::sleep_for(std::chrono::milliseconds(300));
  process.send_signal(SIGKILL);
  CHECK(process.wait(kPatienceS) == 128 + SIGKILL);
  io::SoundReader reader(dir / "kept.wav");
  std::size_t count = 0;
  bool is_exact = true;
  while (reader.next_block()) {
    for (const float sample : reader.channel(0)) {
      is_exact = is_exact && sample == samples[count++];
    }
  }
  CHECK(is_exact);
  CHECK(count >= 48000);  // the header is true to within a second
  CHECK(reader.shortfall() == "");
}

TEST_CASE("what was recorded before is never overwritten") {
  const TemporaryDirectory dir;
  tests::write_bytes(dir / "kept.wav", "precious");
  const Heard heard = hear("", {"--rate", "48000", "--record", dir / "kept.wav"});
  check_refused(heard, "there is such a file already");
  CHECK(tests::read_bytes(dir / "kept.wav") == "precious");
}

TEST_CASE("the same events go out as Open Sound Control") {
  const tests::UdpReceiver receiver;
  const Heard heard =
      hear(float_bytes(RingSound{}.samples()),
           {"--rate", "48000", "--osc", "127.0.0.1:" + std::to_string(receiver.port())});
  CHECK(heard.status == 0);
  REQUIRE_FALSE(heard.events.empty());
  for (const json& event : heard.events) {
    const std::string packet = receiver.receive();
    const std::string address = "/brink/" + event["event"].get<std::string>();
    CHECK(packet.rfind(address + '\0', 0) == 0);
    // OSC 1.0: the type tags start at the next multiple of four after the address's zero.
    const std::size_t tags = (address.size() / 4 + 1) * 4;
    CHECK(packet.substr(tags, 12) == ",ififffffffs");
    // Big-endian: tap, stream time, ring, frequency.
    const std::size_t values = tags + 16;
    REQUIRE(packet.size() > values + 16);
    const auto word_at = [&](std::size_t at) {
      std::uint32_t word = 0;
      for (std::size_t i = 0; i < 4; ++i) {
        word = word << 8U | static_cast<unsigned char>(packet[values + 4 * at + i]);
      }
      return word;
    };
    CHECK(word_at(0) == 1);
    CHECK(word_at(2) == event["ring"]["id"].get<std::uint32_t>());
    CHECK(static_cast<double>(std::bit_cast<float>(word_at(3))) ==
          doctest::Approx(event["ring"]["frequency_hz"].get<double>()).epsilon(1e-6));
  }
}

TEST_CASE("events that cannot be sent are told once, and printed all the same") {
  // A network of its own, with nothing in it: no address can be reached.
  if (std::system("unshare --net true 2>/dev/null") != 0) {  // NOLINT(concurrency-mt-unsafe)
    tests::skip("this system gives no empty network to a test");
    return;
  }
  const TemporaryDirectory dir;
  std::vector<std::string> words{"unshare", "--net"};
  for (const std::string& word : listen_words({"--rate", "48000", "--osc", "127.0.0.1:9"})) {
    words.push_back(word);
  }
  Process process(words, {dir / "err", {}});
  const std::jthread writer([&] {
    static_cast<void>(process.write(float_bytes(RingSound{}.samples())));
    process.close_input();
  });
  CHECK(rest_of(process).size() > 2);
  CHECK(process.wait(kPatienceS) == 2);
  const std::string err = tests::read_bytes(dir / "err");
  CAPTURE(err);
  CHECK(err.find("could not be sent to 127.0.0.1:9") != std::string::npos);
  CHECK(std::count(err.begin(), err.end(), '\n') == 1);
}

TEST_CASE("--levels adds the level of each tap, by stream time") {
  // A full-scale sine reads -3.0 dBFS rms and 0 dBFS peak; half of it 6.0 dB less.
  std::vector<float> both;
  for (int i = 0; i < 96000; ++i) {
    both.push_back(
        static_cast<float>(0.5 * std::sin(2.0 * 3.14159265358979 * 1000.0 * i / 48000.0)));
    both.push_back(0.0F);
  }
  const Heard heard =
      hear(float_bytes(both), {"--rate", "48000", "--channels", "2", "--levels", "5"});
  CHECK(heard.status == 0);
  const auto levels = of_kind(heard.events, "levels");
  REQUIRE(!levels.empty());
  CHECK(levels.size() <= 11);  // two seconds, however fast they came
  const json& last = levels.back();
  REQUIRE(last["levels"].size() == 2);
  CHECK(last["levels"][0]["tap"] == 1);
  CHECK(last["levels"][0]["peak_dbfs"].get<double>() == doctest::Approx(-6.0).epsilon(0.02));
  CHECK(last["levels"][0]["rms_dbfs"].get<double>() == doctest::Approx(-9.0).epsilon(0.02));
  CHECK(last["levels"][1]["peak_dbfs"].is_null());
  CHECK(last["levels"][1]["rms_dbfs"].is_null());
  CHECK(of_kind(hear(float_bytes(both), {"--rate", "48000", "--channels", "2"}).events, "levels")
            .empty());
}

TEST_CASE("--forecast adds lines with what would ring next, and it is true of the loop") {
  // Noise in a loop of three paths at 16 kHz.
  constexpr double kLoopRateHz = 16000.0;
  constexpr std::array<std::pair<std::size_t, float>, 3> kPaths{
      {{100, 0.4F}, {257, -0.3F}, {1200, 0.15F}}};
  std::vector<float> sound = tests::white_noise(19.0, kLoopRateHz, -30.0, 3);
  for (std::size_t n = 0; n < sound.size(); ++n) {
    for (const auto& [lag, gain] : kPaths) {
      sound[n] += n >= lag ? gain * sound[n - lag] : 0.0F;
    }
  }
  const Heard heard = hear(float_bytes(sound), {"--rate", "16000", "--forecast"});
  CHECK(heard.status == 0);
  const auto forecasts = of_kind(heard.events, "forecast");
  REQUIRE(!forecasts.empty());
  const json& last = forecasts.back();
  CHECK(last["tap"] == 1);
  CHECK(last["state"] == "told");
  CHECK(last["heard_s"] == 18.0);
  REQUIRE(!last["places"].empty());
  for (const json& place : last["places"]) {
    std::complex<double> gain;
    for (const auto& [lag, path] : kPaths) {
      gain += std::polar(static_cast<double>(path),
                         -2.0 * 3.14159265358979 * place["frequency_hz"].get<double>() *
                             static_cast<double>(lag) / kLoopRateHz);
    }
    // As aimed at in noise. The phase turns by 27 degrees in a hertz where the longest path is
    // strong.
    CHECK(std::abs(place["left_db"].get<double>() + 20.0 * std::log10(std::abs(gain))) < 1.0);
    CHECK(std::abs(std::arg(gain)) < 0.5);
    CHECK(place["left_sd_db"].get<double>() >= 0.0);
    CHECK(place["frequency_sd_hz"].get<double>() >= 0.0);
    CHECK(place["decay_db_per_s"].get<double>() > 0.0);
  }
  CHECK(of_kind(hear(float_bytes(sound), {"--rate", "16000"}).events, "forecast").empty());
}

TEST_CASE("with a channel that is named an output --forecast tells what two taps show") {
  constexpr double kLoopRateHz = 8000.0;
  constexpr float kConsole = 0.8F;
  const std::vector<tests::SoundPath> paths{{60, 0.35F}, {157, -0.25F}, {900, 0.1F}};
  // Somebody talks and pauses; noise is played.
  std::vector<float> talk = tests::white_noise(25.0, kLoopRateHz, -30.0, 3);
  for (std::size_t n = 0; n < talk.size(); ++n) {
    talk[n] *= n / 4000 % 3 == 2 ? 0.003F : 1.0F;
  }
  const tests::TwoTaps taps =
      tests::run_two_taps(talk, tests::white_noise(25.0, kLoopRateHz, -30.0, 4), paths, kConsole);
  std::vector<float> both(2 * talk.size());
  for (std::size_t n = 0; n < talk.size(); ++n) {
    both[2 * n] = taps.feed[n];
    both[2 * n + 1] = taps.microphone[n];
  }
  const TemporaryDirectory dir;
  tests::write_bytes(dir / "names.txt", "1 output wedge 1\n2 vocal\n");
  const std::vector<std::string> options{"--rate", "8000", "--channels", "2", "--forecast"};
  std::vector<std::string> named = options;
  named.insert(named.end(), {"--names", dir / "names.txt"});
  const Heard heard = hear(float_bytes(both), named);
  CHECK(heard.status == 0);
  const auto forecasts = of_kind(heard.events, "forecast");
  REQUIRE(!forecasts.empty());
  CHECK(std::all_of(forecasts.begin(), forecasts.end(), [](const json& forecast) {
    return forecast["tap"] == 2;  // never of the feed itself
  }));
  const json& last = forecasts.back();
  CHECK(last["state"] == "told");
  CHECK(last["feed"]["tap"] == 1);
  CHECK(last["feed"]["coherence"].get<double>() > 0.5);
  CHECK(last["feed"]["condition_db"].get<double>() > 0.0);
  CHECK(last["feed"]["covered"].get<double>() > 0.9);
  REQUIRE(!last["places"].empty());
  for (const json& place : last["places"]) {
    std::complex<double> gain;
    for (const tests::SoundPath& path : paths) {
      gain += std::polar(static_cast<double>(path.gain * kConsole),
                         -2.0 * 3.14159265358979 * place["frequency_hz"].get<double>() *
                             static_cast<double>(path.lag) / kLoopRateHz);
    }
    CHECK(std::abs(place["left_db"].get<double>() + 20.0 * std::log10(std::abs(gain))) < 0.5);
  }
  for (const json& forecast : of_kind(hear(float_bytes(both), options).events, "forecast")) {
    CHECK(!forecast.contains("feed"));
  }
}

TEST_CASE("what cannot be listened to is refused with one sentence") {
  check_refused(hear("", {}), "give it with --rate");
  check_refused(hear("", {"--rate", "48000"}), "no samples came on stdin");
  check_refused(hear("", {"--rate", "500"}), "8000 to 192000");
  check_refused(hear("", {"--rate", "nan"}), "");
  check_refused(hear("", {"--rate", "48000", "--sample-format", "u8"}), "f32, s16, s24 or s32");
  check_refused(hear("", {"--rate", "48000", "--channels", "0"}), "--channels");
  check_refused(hear("", {"--rate", "48000", "--channels", "2", "--taps", "3"}), "from 1 to 2");
  check_refused(hear("", {"--rate", "48000", "--taps", "1,x"}), "--taps");
  check_refused(hear("", {"--rate", "48000", "--input", "0"}), "take one of them");
  check_refused(hear("", {"--rate", "48000", "--osc", "nowhere"}), "HOST:PORT");
  check_refused(hear("", {"--rate", "48000", "--record", "kept.flac"}), ".wav");
  check_refused(hear("", {"--rate", "48000", "--record", "/nonexistent/kept.wav"}), "kept.wav");
}

TEST_CASE("how many channels stdin has is not guessed from the taps") {
  const std::string bytes = float_bytes(std::vector<float>(4800, 0.0F));
  const Heard guess = hear(bytes, {"--rate", "48000", "--taps", "2"});
  CHECK(guess.status == 2);
  CHECK(guess.err.find("--channels when a tap above 1") != std::string::npos);
  CHECK(hear(bytes, {"--rate", "48000", "--taps", "1"}).status == 0);
  CHECK(hear(bytes, {"--rate", "48000", "--taps", "2", "--channels", "2"}).status == 0);
}

TEST_CASE("samples that are no numbers are told while they come") {
  const TemporaryDirectory dir;
  Process process(listen_words({"--rate", "48000"}), {dir / "err", {}});
  const std::string nothing = float_bytes(std::vector<float>(4800, std::nanf("")));
  const auto is_told = [&] {
    return tests::read_bytes(dir / "err").find("samples come that are no numbers") !=
           std::string::npos;
  };
  const auto end = std::chrono::steady_clock::now() + std::chrono::duration<double>(kPatienceS);
  while (!is_told() && std::chrono::steady_clock::now() < end) {
    REQUIRE(process.write(nothing));
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  CHECK(is_told());
  process.close_input();
  CHECK(process.wait(kPatienceS) == 2);
}

TEST_CASE("odd bytes and samples that are no numbers are told") {
  Heard heard = hear(float_bytes(std::vector<float>(4800, 0.1F)) + "abc", {"--rate", "48000"});
  CHECK(heard.status == 0);
  CHECK(heard.err.find("the last 3 bytes") != std::string::npos);
  std::vector<float> some(4800, 0.1F);
  some[7] = std::nanf("");
  heard = hear(float_bytes(some), {"--rate", "48000"});
  CHECK(heard.status == 0);
  CHECK(heard.err.find("1 of 4800 samples were no numbers") != std::string::npos);
  heard = hear(float_bytes(std::vector<float>(4800, std::nanf(""))), {"--rate", "48000"});
  CHECK(heard.status == 2);
}
