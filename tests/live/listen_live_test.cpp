// brink against a loop that really closes over a sound server, with the sound library in between.
#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <sstream>
#include <thread>

#include "io/sound_file.h"
#include "live/live_loop.h"
#include "support/block_hash.h"

using namespace brink;
using nlohmann::json;
using tests::LiveLoop;

namespace {

using Clock = std::chrono::steady_clock;

constexpr double kRateHz = 48000.0;
constexpr double kNoiseDbfs = -70.0;
constexpr double kBeyondDb = 3.5;  // a small step on a fader: 115 dB/s

double cents(double frequency_hz, double reference_hz) {
  return 1200.0 * std::log2(frequency_hz / reference_hz);
}

double seconds_since(Clock::time_point then) {
  return std::chrono::duration<double>(Clock::now() - then).count();
}

void wait_s(double length_s) {
  std::this_thread::sleep_for(std::chrono::duration<double>(length_s));
}

std::vector<std::uint64_t> read_hashes(const std::string& path) {
  const std::string bytes = tests::read_bytes(path);
  std::vector<std::uint64_t> hashes(bytes.size() / sizeof(std::uint64_t));
  std::memcpy(hashes.data(), bytes.data(), hashes.size() * sizeof(std::uint64_t));
  return hashes;
}

constexpr std::size_t kBlock = tests::JackServer::kPeriodSamples;

std::vector<std::uint64_t> hash_recording(const std::string& path) {
  std::vector<std::uint64_t> hashes;
  io::SoundReader reader(path);  // in blocks that are whole multiples of kBlock
  while (reader.next_block()) {
    for (auto rest = reader.channel(0); rest.size() >= kBlock; rest = rest.subspan(kBlock)) {
      hashes.push_back(tests::block_hash(rest.first(kBlock)));
    }
  }
  return hashes;
}

/// Compares a recording with what the room played, block by block, bit for bit. The recording may
/// begin with silence, from before it was connected. Returns the place of its beginning in what was
/// played, in samples.
double check_same(const std::string& played_path, const std::string& heard_path) {
  const auto played = read_hashes(played_path);
  const auto heard = hash_recording(heard_path);
  const std::uint64_t silence = tests::block_hash(std::vector<float>(kBlock));
  const auto sound =
      std::find_if(heard.begin(), heard.end(), [&](auto hash) { return hash != silence; });
  REQUIRE(sound != heard.end());
  const auto found = std::find(played.begin(), played.end(), *sound);
  REQUIRE(found != played.end());
  REQUIRE(heard.end() - sound <= played.end() - found);
  CHECK(std::equal(sound, heard.end(), found));
  return static_cast<double>(((found - played.begin()) - (sound - heard.begin())) *
                             static_cast<std::ptrdiff_t>(kBlock));
}

/// A loss is told when the server's count of samples fell behind the clock by more than 1 ms, and
/// never otherwise, even where the server says that a cycle was late.
void check_losses(LiveLoop& loop) {
  const double behind_s = loop.fell_behind_s();
  INFO("fell behind by " << behind_s << " s");
  for (const json& event : loop.seen()) {
    INFO(event);
    CHECK((event["event"] != "samples-lost" || behind_s > 0.001));
  }
}

/// What the process holds of its own. Program code is left out: it is read from the disk when it
/// first runs, which may be minutes after the start.
double memory_bytes(pid_t process) {
  std::ifstream file("/proc/" + std::to_string(process) + "/statm");
  double pages = 0.0;
  double resident_pages = 0.0;
  double shared_pages = 0.0;
  file >> pages >> resident_pages >> shared_pages;
  return (resident_pages - shared_pages) * 4096.0;
}

}  // namespace

TEST_CASE("without --channels all of a device's channels are listened to") {
  const tests::TemporaryDirectory directory;
  const tests::JackServer server(directory / "");  // its device has two
  tests::Process brink({BRINK_EXECUTABLE, "listen", "--input", "system", "--levels", "5"},
                       server.client_options("brink.err"));
  json event;
  while (event["event"] != "levels") {
    const auto line = brink.read_line(LiveLoop::kPatienceS);
    REQUIRE(line.has_value());
    event = json::parse(*line);
  }
  CHECK(event["levels"].size() == 2);
  brink.send_signal(SIGHUP);  // a terminal that is closed
  CHECK(brink.wait(LiveLoop::kPatienceS) == 0);
}

TEST_CASE("a program that was held up says how late it is, and then catches up") {
  LiveLoop loop;
  loop.start_room(-20.0, kNoiseDbfs);
  loop.start_brink({"--levels", "10"});
  REQUIRE(loop.event("levels").has_value());
  loop.brink().send_signal(SIGSTOP);
  wait_s(3.0);
  loop.brink().send_signal(SIGCONT);
  const auto said = [&] { return tests::read_bytes(loop.path("brink.err")); };
  while (said().find("s late: this machine does not keep up") == std::string::npos) {
    REQUIRE(loop.event("levels").has_value());
  }
  check_losses(loop);
  loop.brink().send_signal(SIGINT);
  CHECK(loop.brink().wait(LiveLoop::kPatienceS) == 0);
}

TEST_CASE("a ring in a closed loop is flagged where the loop says, and fades with the cut") {
  LiveLoop loop;
  loop.start_room(-6.0, kNoiseDbfs);
  loop.start_brink({"--record", loop.path("kept.wav")});
  wait_s(1.5);
  loop.set_gain(-3.0);
  wait_s(1.0);
  const std::size_t step_sample = loop.set_gain(kBeyondDb);
  const auto ringing = loop.event("ringing");
  REQUIRE(ringing.has_value());
  const json& ring = (*ringing)["ring"];
  const auto truth = loop.truth().leader(loop.truth().brink_gain_db() + kBeyondDb);
  INFO("predicted " << truth.frequency_hz << " Hz, " << truth.growth_db_per_s << " dB/s; " << ring);
  CHECK(std::abs(cents(ring["frequency_hz"], truth.frequency_hz)) < 5.0);
  wait_s(1.0);  // up to the limiter
  const json& cut = ring["cut"];
  std::ostringstream command;
  command << "cut " << cut["centre_hz"] << ' ' << cut["q"] << ' ' << cut["depth_db"];
  const double cut_sample = loop.tell_room(command.str());
  const auto fading = loop.event("fading", 3.0);
  const auto gone = loop.event("gone", 5.0);
  CHECK(fading.has_value());
  REQUIRE(gone.has_value());
  // Over its whole life; when it is flagged, a tenth of a second of it is known. The limiter bends
  // the end of the line.
  CHECK((*gone)["ring"]["growth_db_per_s"].get<double>() ==
        doctest::Approx(truth.growth_db_per_s).epsilon(0.15));
  wait_s(0.5);
  loop.brink().send_signal(SIGINT);
  while (loop.event("none")) {
  }
  CHECK(loop.brink().wait(LiveLoop::kPatienceS) == 0);

  // Every sample of the stream, exactly; so stream times can be told in samples of the loop.
  loop.tell_room("keep " + loop.path("played"));
  const double place = check_same(loop.path("played"), loop.path("kept.wav"));
  const auto loop_s = [&](const json& stream_s) {
    return stream_s.get<double>() + place / kRateHz;
  };
  const double delay_s = loop_s(ring["flagged_s"]) - static_cast<double>(step_sample) / kRateHz;
  MESSAGE("flagged " << delay_s << " s after the loop became unstable, off by "
                     << cents(ring["frequency_hz"], truth.frequency_hz) << " cents, growth "
                     << ring["growth_db_per_s"] << " then and "
                     << (*gone)["ring"]["growth_db_per_s"] << " at last, of "
                     << truth.growth_db_per_s << " dB/s");
  CHECK(delay_s > 0.0);
  CHECK(delay_s < 0.5);
  if (fading) {
    MESSAGE("fading " << loop_s((*fading)["stream_s"]) - cut_sample / kRateHz << " s after the cut "
                      << cut);
  }
  check_losses(loop);
}

TEST_CASE("a sound server that is killed and started again does not stop the listening") {
  LiveLoop loop;
  loop.start_room(-6.0, kNoiseDbfs);
  loop.start_brink({});
  wait_s(1.0);
  const auto killed = Clock::now();
  loop.server().end(SIGKILL);
  loop.end_room();
  const auto lost = loop.event("input-lost", 3.0);
  REQUIRE(lost.has_value());
  CHECK(seconds_since(killed) < 1.0);
  CHECK((*lost)["reason"] == "vanished");
  wait_s(1.0);
  loop.server().start();
  loop.start_room(-6.0, kNoiseDbfs);
  const auto started = Clock::now();
  REQUIRE(loop.event("input-back", 10.0).has_value());
  MESSAGE("back " << seconds_since(started) << " s after the room");
  wait_s(1.0);
  loop.set_gain(kBeyondDb);
  const auto ringing = loop.event("ringing");
  REQUIRE(ringing.has_value());
  const auto truth = loop.truth().leader(loop.truth().brink_gain_db() + kBeyondDb);
  CHECK(std::abs(cents((*ringing)["ring"]["frequency_hz"], truth.frequency_hz)) < 5.0);

  // Frozen is another fault than gone.
  loop.server().process().send_signal(SIGSTOP);
  const auto frozen = loop.event("input-lost", 3.0);
  loop.server().process().send_signal(SIGCONT);
  REQUIRE(frozen.has_value());
  CHECK((*frozen)["reason"] == "frozen");
  CHECK(loop.event("input-back", 10.0).has_value());

  // Even while the server is dead the program ends at once.
  loop.server().end(SIGKILL);
  const auto asked = Clock::now();
  loop.brink().send_signal(SIGTERM);
  while (loop.event("none")) {
  }
  CHECK(loop.brink().wait(LiveLoop::kPatienceS) == 0);
  CHECK(seconds_since(asked) < 3.0);
}

// Ten minutes of sound in CI; BRINK_SOAK_S sets another length, in seconds of sound.
TEST_CASE("listening for long loses no sample and takes no more memory") {
  constexpr double kFasterThanTime = 15.0;
  const char* const asked = std::getenv("BRINK_SOAK_S");  // NOLINT(concurrency-mt-unsafe)
  const double length_s = asked == nullptr ? 600.0 : std::atof(asked);
  LiveLoop loop;
  loop.start_room(-3.0, -40.0);
  loop.start_brink({"--record", loop.path("kept.wav")});
  const double first_sample = loop.tell_room("freewheel " + std::to_string(kFasterThanTime));
  const auto wait_for_sample = [&](double sample) {
    while (loop.tell_room("samples") < sample) {
      wait_s(0.1);
    }
  };
  wait_for_sample(first_sample + 0.2 * length_s * kRateHz);
  const double early_bytes = memory_bytes(loop.brink().pid());
  wait_for_sample(first_sample + length_s * kRateHz);
  const double late_bytes = memory_bytes(loop.brink().pid());
  // The server stops for a moment on its way back to real time; brink would rightly say so.
  loop.brink().send_signal(SIGINT);
  while (loop.event("none")) {
  }
  CHECK(loop.brink().wait(LiveLoop::kPatienceS) == 0);
  loop.tell_room("realtime");
  loop.tell_room("keep " + loop.path("played"));
  check_same(loop.path("played"), loop.path("kept.wav"));
  const double growth_bytes = late_bytes - early_bytes;
  MESSAGE(length_s << " s of sound: memory grew by " << growth_bytes / 1024.0 << " KiB from "
                   << early_bytes / 1048576.0 << " MiB");
  // A sample kept for each second would be 2 KiB; a page or two of an allocator's own is allowed.
  CHECK(growth_bytes < 256.0 * 1024.0);
  check_losses(loop);
  for (const json& event : loop.seen()) {
    INFO(event);
    CHECK(event["event"] != "input-lost");
  }
}
