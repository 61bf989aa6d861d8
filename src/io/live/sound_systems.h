#pragma once

#include <pa_jack.h>
#include <portaudio.h>

#include <atomic>
#include <string>

#include "base/error.h"

namespace brink::io {

// What the child processes that reach the sound systems share. They alone include this.

/// PortAudio from its start to its end.
class SoundSystems {
 public:
  /// `client_name`: what a sound server calls us; must live as long as the process. Throws
  /// base::Error.
  explicit SoundSystems(const char* client_name);
  ~SoundSystems();
  SoundSystems(const SoundSystems&) = delete;
  SoundSystems& operator=(const SoundSystems&) = delete;
  SoundSystems(SoundSystems&&) = delete;
  SoundSystems& operator=(SoundSystems&&) = delete;
};

/// Throws base::Error with `what` and PortAudio's own word when there is an error.
void check_sound(PaError error, const std::string& what);

/// A JACK server's info when one runs, else nullptr.
[[nodiscard]] const PaHostApiInfo* jack_server();

/// The sound system's name as users know it.
[[nodiscard]] std::string api_name(const PaHostApiInfo* api);

/// Clears `is_wanted` when the parent leaves, and ends this process a second later even if the
/// sound system hangs. `is_wanted` must live as long as the process.
void follow_parent(std::atomic<bool>& is_wanted);

/// The whole of such a child: `work` between the sound systems' start and end, given the flag that
/// follow_parent() clears. What stops it goes to `refuse`, before the sound systems are closed:
/// that may hang. Returns the exit status.
template <typename Work, typename Refuse>
[[nodiscard]] int run_sound_child(const char* client_name, const Work& work, const Refuse& refuse) {
  static std::atomic<bool> is_wanted{true};
  follow_parent(is_wanted);
  try {
    const SoundSystems systems(client_name);
    try {
      work(is_wanted);
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
