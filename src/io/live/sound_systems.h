#pragma once

#include <portaudio.h>

#include <atomic>
#include <string>

#include "base/error.h"

namespace brink::io {

// What the child processes for capturing and playing share. Only they include this file.

/// Starts PortAudio, and ends it in the destructor.
class SoundSystems {
 public:
  /// `client_name`: our name in the sound server. It must live as long as the process. Throws
  /// base::Error.
  explicit SoundSystems(const char* client_name);
  ~SoundSystems();
  SoundSystems(const SoundSystems&) = delete;
  SoundSystems& operator=(const SoundSystems&) = delete;
  SoundSystems(SoundSystems&&) = delete;
  SoundSystems& operator=(SoundSystems&&) = delete;
};

/// Throws base::Error with `what` and PortAudio's own message when `error` is an error.
void check_sound(PaError error, const std::string& what);

/// The JACK server's info if one runs, otherwise nullptr.
[[nodiscard]] const PaHostApiInfo* jack_server();

/// The sound system's name as users know it.
[[nodiscard]] std::string api_name(const PaHostApiInfo* api);

/// Follows the parent from now on; to be called once. Returns whether this process is still wanted:
/// false when the parent is gone. One second later this process ends, even if the sound system
/// hangs.
[[nodiscard]] const std::atomic<bool>& follow_parent();

/// Calls `work` between the start and the end of the sound systems. An error goes to `refuse`
/// before they are closed, because closing may hang. Returns the exit status of such a child.
template <typename Work, typename Refuse>
[[nodiscard]] int run_sound_child(const char* client_name, const Work& work, const Refuse& refuse) {
  try {
    const SoundSystems systems(client_name);
    try {
      work();
    } catch (const base::Error& error) {
      refuse(error);
      return 1;
    }
  } catch (const base::Error& error) {
    refuse(error);
    return 1;
  }
  return 0;
}

}  // namespace brink::io
