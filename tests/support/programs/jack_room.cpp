// A room, a console and a wedge in one JACK client. The server connects its output to its input, so
// what it plays comes back and goes round again. The loop is known, so a test can calculate where
// it rings.
//
//   jack_room NAME DELAY_SAMPLES CENTRE_HZ Q GAIN_DB NOISE_DBFS
//
// Loop: input + noise -> delay -> resonance (SmallLoop) -> gain -> cut -> limiter -> output. The
// server adds one period of delay, because a client's output reaches its own input in the next
// cycle.
//
// It reads commands on stdin. When a command is done, one line on stdout gives the number of
// samples played by then:
//   gain DB          sets the gain
//   cut HZ Q DB      puts a cut in
//   join FROM TO     connects two ports, as a user's hand
//   part FROM TO     takes them apart
//   joined FROM TO   gives 1 when they are connected, otherwise 0
//   open             takes the output off the input, so that sound goes through once
//   samples          nothing more
//   connections      gives the number of ports that listen to the output
//   heard            gives when the last sound came in: CLOCK_MONOTONIC_RAW, in us; 0: never
//   behind           gives by how many us the server's count of samples is behind the clock, in the
//                    block of the next quarter of a second that came earliest
//   freewheel RATIO  lets the server run as fast as it can, but at most RATIO times real time
//   realtime         goes back to real time
//   keep FILE        writes the hash of each block played so far (block_hash.h), 8 bytes each
#include <jack/jack.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <limits>
#include <random>
#include <sstream>
#include <stdexcept>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "base/biquad.h"
#include "cuts/cut.h"
#include "support/block_hash.h"
#include "support/small_loop.h"

using namespace brink;

namespace {

constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();
constexpr std::size_t kMostKeptBlocks = std::size_t{1} << 19U;  // three hours in blocks of 1024

struct Settings {
  std::string name;
  tests::SmallLoop loop;
  double gain_db = 0.0;
  double noise_dbfs = -200.0;
};

class Room {
 public:
  explicit Room(const Settings& settings);

  ~Room() { jack_client_close(client_); }

  Room(const Room&) = delete;
  Room& operator=(const Room&) = delete;
  Room(Room&&) = delete;
  Room& operator=(Room&&) = delete;

  /// The answer to a command.
  std::string obey(const std::string& line);

 private:
  static int process(jack_nframes_t count, void* self) {
    static_cast<Room*>(self)->play(count);
    return 0;
  }

  [[nodiscard]] bool is_joined(const std::string& from, const std::string& to) const;
  void play(jack_nframes_t count);
  float play_one(float in);
  void pace(jack_nframes_t count);
  /// Waits until a cycle has begun after a change.
  std::string played_by_now() const;

  Settings settings_;
  jack_client_t* client_ = nullptr;
  jack_port_t* in_ = nullptr;
  jack_port_t* out_ = nullptr;

  // Only for the process thread.
  std::vector<float> delay_;
  std::size_t delay_at_ = 0;
  tests::SmallLoop::Resonance resonance_{};
  double x1_ = 0.0;
  double x2_ = 0.0;
  double y1_ = 0.0;
  double y2_ = 0.0;
  base::BiquadRunner cut_runner_;
  std::mt19937 random_{2026};
  std::vector<std::uint64_t> kept_;
  std::chrono::steady_clock::time_point next_;

  // Shared by the threads. A cut is written before its flag is set, and is taken once.
  std::atomic<double> gain_lin_{0.0};
  std::atomic<double> ratio_{0.0};  // 0: at the server's own speed
  cuts::Cut cut_;
  std::atomic<bool> has_new_cut_{false};
  std::atomic<std::size_t> played_samples_{0};
  std::atomic<std::size_t> cycle_count_{0};
  std::atomic<std::size_t> kept_count_{0};
  std::atomic<std::int64_t> least_behind_us_{kNever};
  std::atomic<std::uint64_t> heard_us_{0};
};

Room::Room(const Settings& settings) : settings_(settings) {
  // A server that was just started takes a moment.
  for (int tries = 0; client_ == nullptr && tries < 100; ++tries) {
    client_ = jack_client_open(settings.name.c_str(), JackNoStartServer, nullptr);
    if (client_ == nullptr) {
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
    }
  }
  if (client_ == nullptr) {
    throw std::runtime_error("no JACK server");
  }
  delay_.assign(static_cast<std::size_t>(settings.loop.delay_samples), 0.0F);
  resonance_ = settings.loop.resonance();
  gain_lin_ = std::pow(10.0, settings.gain_db / 20.0);
  kept_.resize(kMostKeptBlocks);
  in_ = jack_port_register(client_, "in", JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
  out_ = jack_port_register(client_, "out", JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
  jack_set_process_callback(client_, process, this);
  const bool is_running = in_ != nullptr && out_ != nullptr && jack_activate(client_) == 0 &&
                          jack_connect(client_, jack_port_name(out_), jack_port_name(in_)) == 0;
  if (!is_running) {
    throw std::runtime_error("no ports");
  }
}

float Room::play_one(float in) {
  // Uniform noise of peak p has the RMS p / sqrt(3).
  const double peak = std::sqrt(3.0) * std::pow(10.0, settings_.noise_dbfs / 20.0);
  const double noise = peak * (static_cast<double>(random_()) / 2147483648.0 - 1.0);
  const auto x = static_cast<double>(
      std::exchange(delay_[delay_at_], static_cast<float>(static_cast<double>(in) + noise)));
  delay_at_ = (delay_at_ + 1) % delay_.size();
  const double y = resonance_.b0 * (x - x2_) - resonance_.a1 * y1_ - resonance_.a2 * y2_;
  x2_ = std::exchange(x1_, x);
  y2_ = std::exchange(y1_, y);
  const double loud = cut_runner_.step(y * gain_lin_.load(std::memory_order_relaxed));
  constexpr double kLimit = 0.3;  // soft limit, as in a loudspeaker with a protecting limiter
  return static_cast<float>(kLimit * std::tanh(loud / kLimit));
}

void Room::pace(jack_nframes_t count) {
  const double ratio = ratio_.load(std::memory_order_relaxed);
  const auto now = std::chrono::steady_clock::now();
  if (ratio <= 0.0 || now - next_ > std::chrono::milliseconds(100)) {
    next_ = now;
    return;
  }
  next_ += std::chrono::duration_cast<std::chrono::steady_clock::duration>(
      std::chrono::duration<double>(count / settings_.loop.sample_rate_hz / ratio));
  std::this_thread::sleep_until(next_);  // a freewheeling server waits for its clients
}

void Room::play(jack_nframes_t count) {
  const auto* const in = static_cast<const float*>(jack_port_get_buffer(in_, count));
  auto* const out = static_cast<float*>(jack_port_get_buffer(out_, count));
  if (has_new_cut_.load(std::memory_order_acquire)) {
    cut_runner_.set_section(cuts::to_section(cut_, settings_.loop.sample_rate_hz));
    has_new_cut_.store(false, std::memory_order_release);
  }
  for (jack_nframes_t i = 0; i < count; ++i) {
    out[i] = play_one(in[i]);
  }
  for (jack_nframes_t i = count; i-- > 0;) {
    if (in[i] != 0.0F) {
      const double late_us = 1e6 * static_cast<double>(i) / settings_.loop.sample_rate_hz;
      heard_us_ = jack_get_time() + static_cast<std::uint64_t>(late_us);
      break;
    }
  }
  if (kept_count_ < kept_.size()) {
    kept_[kept_count_] = tests::block_hash(std::span(out, count));
    ++kept_count_;
  }
  const double counted_us = 1e6 * jack_last_frame_time(client_) / settings_.loop.sample_rate_hz;
  const auto behind_us =
      static_cast<std::int64_t>(jack_get_time()) - static_cast<std::int64_t>(counted_us);
  least_behind_us_ = std::min(least_behind_us_.load(), behind_us);
  pace(count);
  played_samples_.fetch_add(count);
  cycle_count_.fetch_add(1);
}

std::string Room::played_by_now() const {
  const std::size_t before = played_samples_;
  const std::size_t cycle = cycle_count_;
  for (int tries = 0; cycle_count_ < cycle + 2 && tries < 2000; ++tries) {
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  return " at " + std::to_string(before);
}

bool Room::is_joined(const std::string& from, const std::string& to) const {
  const jack_port_t* const port = jack_port_by_name(client_, to.c_str());
  const char** const sources =
      port == nullptr ? nullptr : jack_port_get_all_connections(client_, port);
  bool is_there = false;
  for (const char** source = sources; source != nullptr && *source != nullptr; ++source) {
    is_there = is_there || from == *source;
  }
  jack_free(sources);
  return is_there;
}

std::string Room::obey(const std::string& line) {
  std::istringstream words(line);
  std::string what;
  words >> what;
  if (what == "gain") {
    double gain_db = 0.0;
    words >> gain_db;
    const std::string at = " at " + std::to_string(played_samples_);
    gain_lin_ = std::pow(10.0, gain_db / 20.0);
    return what + at;
  }
  if (what == "cut") {
    words >> cut_.centre_hz >> cut_.q >> cut_.depth_db;
    has_new_cut_.store(true, std::memory_order_release);
    return what + played_by_now();
  }
  if (what == "open") {
    jack_disconnect(client_, jack_port_name(out_), jack_port_name(in_));
    return what + played_by_now();
  }
  if (what == "join" || what == "part" || what == "joined") {
    std::string from;
    std::string to;
    words >> from >> to;
    if (what != "joined") {
      (what == "join" ? jack_connect : jack_disconnect)(client_, from.c_str(), to.c_str());
    }
    return what + ' ' + std::to_string(is_joined(from, to) ? 1 : 0);
  }
  if (what == "samples") {
    return what + ' ' + std::to_string(played_samples_);
  }
  if (what == "connections") {
    return what + ' ' + std::to_string(jack_port_connected(out_));
  }
  if (what == "heard") {
    return what + ' ' + std::to_string(heard_us_);
  }
  if (what == "behind") {
    least_behind_us_ = kNever;
    std::this_thread::sleep_for(std::chrono::milliseconds(250));
    return what + ' ' + std::to_string(least_behind_us_);
  }
  if (what == "freewheel" || what == "realtime") {
    double ratio = 0.0;
    words >> ratio;
    ratio_ = ratio;
    jack_set_freewheel(client_, what == "freewheel" ? 1 : 0);
    return what + played_by_now();
  }
  if (what == "keep") {
    std::string path;
    words >> path;
    const std::size_t count = kept_count_;
    std::ofstream file(path, std::ios::binary);
    file.write(reinterpret_cast<const char*>(kept_.data()),
               static_cast<std::streamsize>(count * sizeof(std::uint64_t)));
    return what + ' ' + std::to_string(count);
  }
  return what + " is no command";
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 7) {
    return 2;
  }
  Settings settings;
  settings.name = argv[1];
  settings.loop.delay_samples = std::atoi(argv[2]);
  settings.loop.centre_hz = std::atof(argv[3]);
  settings.loop.q = std::atof(argv[4]);
  settings.gain_db = std::atof(argv[5]);
  settings.noise_dbfs = std::atof(argv[6]);
  try {
    Room room(settings);
    std::cout << "ready" << std::endl;
    std::string line;
    while (std::getline(std::cin, line)) {
      std::cout << room.obey(line) << std::endl;
    }
    std::cout.flush();
    _exit(0);  // a client whose server is dead would hang when closed
  } catch (const std::exception& error) {
    std::cout << error.what() << std::endl;
    return 1;
  }
}
