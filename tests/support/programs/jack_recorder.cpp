// Records what another JACK client plays, as soon as that client is there.
//
//   jack_recorder PORT
//
// Prints "ready" when it is connected. It reads commands on stdin. Each gets one line on stdout,
// with the number of samples recorded by then:
//   samples     nothing more
//   keep FILE   writes them as raw floats
#include <jack/jack.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <fstream>
#include <iostream>
#include <sstream>
#include <string>
#include <thread>
#include <vector>

namespace {

constexpr std::size_t kMostSamples = std::size_t{48000} * 60;

struct Recorder {
  jack_port_t* in = nullptr;
  std::vector<float> samples;
  std::atomic<std::size_t> count{0};
  std::atomic<bool> is_connected{false};
};

int record(jack_nframes_t count, void* self) {
  auto& recorder = *static_cast<Recorder*>(self);
  const auto* const in = static_cast<const float*>(jack_port_get_buffer(recorder.in, count));
  std::size_t at = recorder.count;
  for (jack_nframes_t i = 0; recorder.is_connected && i < count && at < recorder.samples.size();
       ++i) {
    recorder.samples[at++] = in[i];
  }
  recorder.count = at;
  return 0;
}

template <typename Try>
bool keep_trying(const Try& attempt) {
  for (int tries = 0; tries < 500; ++tries) {
    if (attempt()) {
      return true;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  return false;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    return 2;
  }
  static Recorder recorder;
  recorder.samples.resize(kMostSamples);
  jack_client_t* client = nullptr;
  // A server that was just started takes a moment, and so does the other client.
  const bool has_server = keep_trying([&] {
    client = jack_client_open("recorder", JackNoStartServer, nullptr);
    return client != nullptr;
  });
  if (!has_server) {
    return 1;
  }
  recorder.in = jack_port_register(client, "in", JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
  jack_set_process_callback(client, record, &recorder);
  jack_activate(client);
  const bool is_connected =
      keep_trying([&] { return jack_connect(client, argv[1], jack_port_name(recorder.in)) == 0; });
  if (!is_connected) {
    return 1;
  }
  recorder.is_connected = true;
  std::cout << "ready" << std::endl;
  std::string line;
  while (std::getline(std::cin, line)) {
    std::istringstream words(line);
    std::string what;
    std::string path;
    words >> what >> path;
    const std::size_t count = recorder.count;
    if (what == "keep") {
      std::ofstream(path, std::ios::binary)
          .write(reinterpret_cast<const char*>(recorder.samples.data()),
                 static_cast<std::streamsize>(count * sizeof(float)));
    }
    std::cout << count << std::endl;
  }
  _exit(0);  // a client whose server is dead would hang when closed
}
