#pragma once

#include <string>
#include <vector>

namespace brink::desk {

/// What is remembered from one run to the next; text is UTF-8.
struct Settings {
  std::string venue;
  std::string show;
  std::string output;
  std::string target = "parametric";  ///< a name or a file, as load_target() takes it
  std::string microphone;
  std::string position;
  double back_off_db = 6.0;      ///< 0 to 20
  std::string input_device;      ///< empty: the system's own choice
  std::vector<int> taps;         ///< channel numbers from 1; empty: all
  std::string channel_names;     ///< as show::ChannelNames::text() writes them
  double interface_scale = 0.0;  ///< 1 to 3; 0: what the screen asks for
  int window_x = 0;              ///< the place is meaningful only with has_window_place
  int window_y = 0;
  bool has_window_place = false;
  int window_width = 1280;  ///< 320 to 16384, of the unscaled screen
  int window_height = 800;
  bool is_maximised = false;  ///< the place is what the window goes back to
  std::string trainee;        ///< whose ear scores these are

  friend bool operator==(const Settings&, const Settings&) = default;
};

struct LoadedSettings {
  Settings settings;
  std::string message;  ///< one sentence when something was wrong; else empty
};

/// `brink/settings.json` under XDG_CONFIG_HOME, or under ~/.config where that is not set to an
/// absolute path (XDG Base Directory Specification 0.8). Empty when there is no home either:
/// nothing can be remembered. [before other threads start: reads the environment]
[[nodiscard]] std::string settings_path();

/// Never throws. A missing file or field gives defaults without a message. A number out of range
/// becomes the nearest legal one. A file that is no settings file gives defaults and a message; it
/// is kept as `settings.json.broken` (with a number if that name is taken), so that the user can
/// mend it.
[[nodiscard]] LoadedSettings load_settings(const std::string& path);

/// Whole or not at all; makes the folder when it is missing. Throws base::Error with one sentence.
void save_settings(const std::string& path, const Settings& settings);

}  // namespace brink::desk
