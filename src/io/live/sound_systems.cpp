#include "io/live/sound_systems.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <thread>

#include "base/error.h"
#include "io/live/child_process.h"
#include "io/live/inputs.h"

namespace brink::io {
namespace {

/// Time for closing; with a dead server it would never end.
constexpr std::chrono::milliseconds kGracePeriod(1000);

/// Waits until the parent closes its end of the pipe or ends.
void wait_for_parent_to_leave() {
  char byte = 0;
  ssize_t count = 0;
  do {
    count = ::read(ChildProcess::kAliveDescriptor, &byte, 1);
  } while (count > 0 || (count < 0 && errno == EINTR));
}

}  // namespace

void check_sound(PaError error, const std::string& what) {
  if (error != paNoError) {
    throw base::Error(fmt::format("{} ({}).", what, Pa_GetErrorText(error)));
  }
}

SoundSystems::SoundSystems(const char* client_name) {
  PaJack_SetClientName(client_name);
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
    wait_for_parent_to_leave();
    is_wanted.store(false);
    std::this_thread::sleep_for(kGracePeriod);
    _exit(0);
  }).detach();
  return is_wanted;
}

}  // namespace brink::io
