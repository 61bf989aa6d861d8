#include "desk/settings.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>
#include <stdexcept>
#include <system_error>

#include "base/error.h"
#include "base/nearest_int.h"
#include "base/printable.h"
#include "io/paths.h"
#include "io/text_file.h"
#include "io/user_folders.h"
#include "io/whole_file.h"
#include "report/row_json.h"
#include "show/channel_names.h"

namespace brink::desk {
namespace {

namespace fs = std::filesystem;

constexpr const char* kSchema = "brink/settings/1";
constexpr std::size_t kLongestFile = 1U << 20U;
constexpr int kMostTaps = 64;

/// A field that may be missing; of another type it makes the file a broken one.
template <typename Value>
void take(const report::Json& json, const char* field, Value& value) {
  if (const auto found = json.find(field); found != json.end()) {
    value = found->get<Value>();
  }
}

void take(const report::Json& json, const char* field, int& value) {
  double number = value;
  take(json, field, number);
  value = base::nearest_int(number);
}

void take(const report::Json& json, const char* field, std::vector<int>& value) {
  std::vector<double> numbers(value.begin(), value.end());
  take(json, field, numbers);
  value.resize(numbers.size());
  std::transform(numbers.begin(), numbers.end(), value.begin(), base::nearest_int);
}

double legal(double value, double low, double high) {
  return std::isfinite(value) ? std::clamp(value, low, high) : low;
}

bool are_names(const std::string& text) {
  try {
    (void)show::ChannelNames::parse(text, "names");
    return true;
  } catch (const base::Error&) {
    return false;
  }
}

void make_legal(Settings& settings) {
  if (!are_names(settings.channel_names)) {
    settings.channel_names.clear();
  }
  settings.back_off_db = legal(settings.back_off_db, 0.0, 20.0);
  if (settings.interface_scale != 0.0) {
    settings.interface_scale = legal(settings.interface_scale, 1.0, 3.0);
  }
  settings.window_width = std::clamp(settings.window_width, 320, 16384);
  settings.window_height = std::clamp(settings.window_height, 320, 16384);
  std::erase_if(settings.taps, [](int tap) { return tap < 1 || tap > kMostTaps; });
  if (settings.taps.size() > kMostTaps) {
    settings.taps.resize(kMostTaps);
  }
}

Settings parse(const std::string& text) {
  const report::Json json = report::Json::parse(text);
  if (!json.is_object() || json.value("schema", "") != kSchema) {
    throw std::invalid_argument("schema");
  }
  Settings settings;
  take(json, "venue", settings.venue);
  take(json, "show", settings.show);
  take(json, "output", settings.output);
  take(json, "target", settings.target);
  take(json, "microphone", settings.microphone);
  take(json, "position", settings.position);
  take(json, "back_off_db", settings.back_off_db);
  take(json, "input_device", settings.input_device);
  take(json, "taps", settings.taps);
  take(json, "channel_names", settings.channel_names);
  take(json, "interface_scale", settings.interface_scale);
  if (const auto window = json.find("window"); window != json.end()) {
    if (!window->is_object()) {
      throw std::invalid_argument("window");
    }
    take(*window, "width", settings.window_width);
    take(*window, "height", settings.window_height);
    settings.has_window_place = window->contains("x") && window->contains("y");
    take(*window, "x", settings.window_x);
    take(*window, "y", settings.window_y);
    take(*window, "is_maximised", settings.is_maximised);
  }
  take(json, "trainee", settings.trainee);
  make_legal(settings);
  return settings;
}

std::string to_text(const Settings& settings) {
  report::Json window{{"width", settings.window_width},
                      {"height", settings.window_height},
                      {"is_maximised", settings.is_maximised}};
  if (settings.has_window_place) {
    window["x"] = settings.window_x;
    window["y"] = settings.window_y;
  }
  const report::Json json{{"schema", kSchema},
                          {"venue", settings.venue},
                          {"show", settings.show},
                          {"output", settings.output},
                          {"target", settings.target},
                          {"microphone", settings.microphone},
                          {"position", settings.position},
                          {"back_off_db", settings.back_off_db},
                          {"input_device", settings.input_device},
                          {"taps", settings.taps},
                          {"channel_names", settings.channel_names},
                          {"interface_scale", settings.interface_scale},
                          {"window", window},
                          {"trainee", settings.trainee}};
  return json.dump(2, ' ', false, report::Json::error_handler_t::replace) + "\n";
}

/// A free name beside the file; the last when all are taken.
std::string place_aside(const std::string& path) {
  constexpr int kMostKept = 9;
  std::string aside = path + ".broken";
  for (int number = 2; number <= kMostKept && fs::exists(io::to_path(aside)); ++number) {
    aside = fmt::format("{}.broken-{}", path, number);
  }
  return aside;
}

LoadedSettings broken(const std::string& path) {
  const std::string aside = place_aside(path);
  std::error_code error;
  fs::rename(io::to_path(path), io::to_path(aside), error);
  const std::string kept =
      error ? "it stays where it is until settings are saved"
            : fmt::format("it is kept as {}",
                          base::printable(io::to_path(aside).filename().string()));
  return {{},
          fmt::format("{}: is no settings file of brink; {}, and defaults are used.",
                      base::printable(path),
                      kept)};
}

}  // namespace

std::string settings_path() {
  const std::string folder = io::settings_folder();
  return folder.empty() ? "" : folder + "/brink/settings.json";
}

LoadedSettings load_settings(const std::string& path) {
  std::error_code error;
  if (path.empty() || !fs::exists(io::to_path(path), error)) {
    return {};
  }
  std::string text;
  try {
    text = io::read_text_file(path, kLongestFile);
  } catch (const std::exception& fault) {
    return {{}, fmt::format("{} Defaults are used.", fault.what())};
  }
  try {
    return {parse(text), {}};
  } catch (const std::exception&) {
    return broken(path);
  }
}

void save_settings(const std::string& path, const Settings& settings) {
  if (path.empty()) {
    throw base::Error("There is no home folder, so settings cannot be remembered.");
  }
  std::error_code error;
  fs::create_directories(io::to_path(path).parent_path(),
                         error);  // what is wrong, writing will say
  // Nothing but settings is kept there; what is broken was moved aside by load_settings().
  io::WholeFile file(path, {{}, true, {}});
  file.append(to_text(settings));
  file.commit();
}

}  // namespace brink::desk
