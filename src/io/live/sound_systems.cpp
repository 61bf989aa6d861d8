#include "io/live/sound_systems.h"

#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <thread>

#include "base/error.h"
#include "io/live/child_process.h"
#include "io/live/inputs.h"
#include "io/live/jack_graph.h"

namespace brink::io {
namespace {

/// Time for closing; with a dead server it would never end.
constexpr std::chrono::milliseconds kGracePeriod(1000);

}  // namespace

void check_sound(PaError error, const std::string& what) {
  if (error != paNoError) {
    throw base::Error(fmt::format("{} ({}).", what, Pa_GetErrorText(error)));
  }
}

SoundSystems::SoundSystems(const char* client_name) {
  name_jack_client(client_name);
  check_sound(Pa_Initialize(), "The sound system could not be started");
}

SoundSystems::~SoundSystems() {
  Pa_Terminate();
}

const PaHostApiInfo* jack_server() {
  const PaHostApiIndex jack = Pa_HostApiTypeIdToHostApiIndex(paJACK);
  return jack >= 0 ? Pa_GetHostApiInfo(jack) : nullptr;
}

std::string api_name(const PaHostApiInfo* api) {
  if (api == nullptr) {
    return "?";
  }
  return api->type == paJACK ? kJackName : api->name;
}

const std::atomic<bool>& follow_parent() {
  static std::atomic<bool> is_wanted{true};
  std::thread([] {
    static_cast<void>(has_parent_left(-1));
    is_wanted.store(false);
    std::this_thread::sleep_for(kGracePeriod);
    std::_Exit(0);
  }).detach();
  return is_wanted;
}

}  // namespace brink::io
