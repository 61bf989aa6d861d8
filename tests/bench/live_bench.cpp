// What listening to many taps live costs: a JACK server of its own without a sound card, a player
// of programme with as many ports as taps, and `brink listen` joined to it in real time.
//   bench_live [TAPS] [SECONDS]      32 60

#include <fmt/format.h>
#include <jack/jack.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "bench/signals.h"
#include "support/files.h"
#include "support/jack_server.h"
#include "support/process.h"

using namespace brink;

namespace {

constexpr double kRateHz = 48000.0;
constexpr double kTargetPercent = 40.0;  // of one core
constexpr int kTargetTaps = 32;
constexpr double kPatienceS = 30.0;

void wait_s(double length_s) {
  std::this_thread::sleep_for(std::chrono::duration<double>(length_s));
}

/// A JACK client that plays half a minute of programme again and again, another on each port.
class Player {
 public:
  Player(const std::string& name, int ports) : client_(open(name)) {
    for (int i = 0; i < ports; ++i) {
      sounds_.emplace_back(static_cast<std::size_t>(30.0 * kRateHz));
      bench::Programme{kRateHz, static_cast<std::uint64_t>(i) + 1}.next(sounds_.back());
      ports_.push_back(jack_port_register(client_.get(),
                                          fmt::format("out_{}", i + 1).c_str(),
                                          JACK_DEFAULT_AUDIO_TYPE,
                                          JackPortIsOutput,
                                          0));
    }
    jack_set_process_callback(
        client_.get(),
        [](jack_nframes_t count, void* player) {
          static_cast<Player*>(player)->play(count);
          return 0;
        },
        this);
    jack_set_xrun_callback(
        client_.get(),
        [](void* player) {
          ++static_cast<Player*>(player)->late_;
          return 0;
        },
        this);
    if (jack_activate(client_.get()) != 0) {
      throw std::runtime_error("the player could not begin");
    }
  }

  [[nodiscard]] bool is_joined() const {
    return std::all_of(ports_.begin(), ports_.end(), [](jack_port_t* port) {
      return jack_port_connected(port) > 0;
    });
  }

  [[nodiscard]] int late() const { return late_; }

  [[nodiscard]] double played_s() const { return static_cast<double>(at_) / kRateHz; }

 private:
  using Client = std::unique_ptr<jack_client_t, int (*)(jack_client_t*)>;

  static Client open(const std::string& name) {
    jack_set_error_function([](const char*) {});  // it says so each time that no server is there
    jack_set_info_function([](const char*) {});
    for (int tries = 0; tries < 100; ++tries) {
      if (jack_client_t* client = jack_client_open(name.c_str(), JackNoStartServer, nullptr)) {
        return {client, &jack_client_close};
      }
      wait_s(0.05);  // the server is still starting
    }
    throw std::runtime_error("no JACK server");
  }

  void play(jack_nframes_t count) noexcept {
    const std::size_t at = at_;
    for (std::size_t i = 0; i < ports_.size(); ++i) {
      auto* const buffer = static_cast<float*>(jack_port_get_buffer(ports_[i], count));
      for (jack_nframes_t n = 0; n < count; ++n) {
        buffer[n] = sounds_[i][(at + n) % sounds_[i].size()];
      }
    }
    at_ = at + count;
  }

  std::vector<std::vector<float>> sounds_;
  std::vector<jack_port_t*> ports_;
  std::atomic<std::size_t> at_{0};
  std::atomic<int> late_{0};
  Client client_;  // last: it plays from the others
};

/// Processor time that a process has used, user and system.
double used_s(pid_t process) {
  std::ifstream file(fmt::format("/proc/{}/stat", process));
  std::string word;
  for (int field = 1; field <= 13; ++field) {  // the name is "(brink)": no space in it
    file >> word;
  }
  double user = 0.0;
  double system = 0.0;
  file >> user >> system;
  return (user + system) / static_cast<double>(sysconf(_SC_CLK_TCK));
}

double load_now() {
  double load = 0.0;
  std::ifstream("/proc/loadavg") >> load;
  return load;
}

void measure(int taps, double length_s) {
  const tests::TemporaryDirectory directory;
  const tests::JackServer server(directory / "");
  const tests::ProcessOptions options = server.client_options("brink.err");
  for (const auto& [name, value] : options.environment) {
    setenv(name.c_str(), value.c_str(), 1);  // NOLINT(concurrency-mt-unsafe)
  }
  const Player player("band", taps);
  tests::Process listening({BRINK_EXECUTABLE, "listen", "--input", "band", "--levels", "4"},
                           options);
  for (int tries = 0; !player.is_joined(); ++tries) {
    if (tries == static_cast<int>(kPatienceS / 0.1)) {
      throw std::runtime_error("brink did not join the player: " +
                               tests::read_bytes(directory / "brink.err"));
    }
    wait_s(0.1);
  }
  const double joined_s = player.played_s();
  wait_s(5.0);
  const pid_t capture = tests::first_child(listening.pid());
  const double analysis_s = used_s(listening.pid());
  const double capture_s = used_s(capture);
  const int late = player.late();
  const double from_s = player.played_s();
  wait_s(length_s);
  // Where the machine cannot keep up, the server plays less than a second in a second.
  const double played_s = player.played_s() - from_s;
  const double joined_to_end_s = player.played_s() - joined_s;
  const double analysis = 100.0 * (used_s(listening.pid()) - analysis_s) / played_s;
  const double capturing = 100.0 * (used_s(capture) - capture_s) / played_s;
  const int became_late = player.late() - late;
  listening.send_signal(SIGTERM);
  int lost = 0;
  double heard_s = 0.0;
  while (const auto line = listening.read_line(kPatienceS)) {
    lost += line->find("samples-lost") != std::string::npos ? 1 : 0;
    constexpr std::string_view kStream = "\"stream_s\":";
    if (const auto at = line->find(kStream); at != std::string::npos) {
      heard_s = std::max(heard_s, std::strtod(line->c_str() + at + kStream.size(), nullptr));
    }
  }
  fmt::print(
      "{} taps at 48 kHz over JACK, {:.1f} s of sound in {:.1f} s: analysis {:.1f} %, capture "
      "{:.1f} % of one core; {} "
      "late cycles, samples lost {} times; load of the machine {:.1f}\n",
      taps,
      played_s,
      length_s,
      analysis,
      capturing,
      became_late,
      lost,
      load_now());
  const double behind_s = joined_to_end_s - heard_s;
  if (behind_s > 1.0) {
    fmt::print(
        "  brink is {:.1f} s behind: the machine is too busy, and the figure does not count\n",
        behind_s);
    return;
  }
  if (taps == kTargetTaps) {
    fmt::print("  target {:.0f} %: {}\n",
               kTargetPercent,
               analysis + capturing <= kTargetPercent ? "kept" : "missed");
  }
}

}  // namespace

int main(int argc, char** argv) {
  try {
    measure(argc > 1 ? std::atoi(argv[1]) : kTargetTaps, argc > 2 ? std::atof(argv[2]) : 60.0);
  } catch (const std::exception& error) {
    fmt::print(stderr, "bench: {}\n", error.what());
    return 1;
  }
  return 0;
}
