#include "desk/settings.h"

#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>

#include "base/error.h"
#include "support/files.h"

using namespace brink;
using desk::load_settings;
using desk::save_settings;
using desk::Settings;
namespace fs = std::filesystem;

namespace {

Settings unusual() {
  Settings settings;
  settings.venue = "The Old Tannery";
  settings.show = "Tin \"Lanterns\" \xC3\xA9t\xC3\xA9";
  settings.output = "wedge 2";
  settings.target = "third-octave";
  settings.microphone = "vocal";
  settings.position = "centre\nstage";
  settings.back_off_db = 3.5;
  settings.input_device = "table: input 3";
  settings.taps = {3, 4};
  settings.interface_scale = 1.75;
  settings.window_x = -1900;
  settings.window_y = 20;
  settings.has_window_place = true;
  settings.is_maximised = true;
  settings.window_width = 1600;
  settings.window_height = 900;
  settings.trainee = "Mo";
  return settings;
}

}  // namespace

TEST_CASE("settings come back as they were saved, and leave nothing else behind") {
  tests::TemporaryDirectory directory;
  const std::string path = directory / "not/there/yet/settings.json";
  CHECK(load_settings(path).settings == Settings{});
  CHECK(load_settings(path).message.empty());
  save_settings(path, unusual());
  CHECK(load_settings(path).settings == unusual());
  CHECK(load_settings(path).message.empty());
  save_settings(path, Settings{});
  CHECK(load_settings(path).settings == Settings{});
  const auto files = fs::directory_iterator(fs::path(path).parent_path());
  CHECK(std::distance(begin(files), end(files)) == 1);
}

TEST_CASE("text that is no UTF-8 is saved all the same") {
  tests::TemporaryDirectory directory;
  Settings settings;
  settings.venue = "caf\xE9";
  save_settings(directory / "settings.json", settings);
  CHECK(load_settings(directory / "settings.json").settings.venue == "caf\xEF\xBF\xBD");
}

TEST_CASE("a broken file gives defaults and one sentence, and is kept aside") {
  tests::TemporaryDirectory directory;
  const std::string path = directory / "settings.json";
  const std::string whole = [&] {
    save_settings(path, unusual());
    return tests::read_bytes(path);
  }();
  const std::vector<std::string> contents{
      "",
      "{",
      "null",
      "[]",
      "{}",
      "\xFF\xFE",
      std::string(10, '\0'),
      std::string(100000, '['),
      R"({"schema":"brink/settings/2"})",
      R"({"schema":7})",
      R"({"schema":"brink/settings/1","venue":7})",
      R"({"schema":"brink/settings/1","taps":"all"})",
      R"({"schema":"brink/settings/1","window":[]})",
      R"({"schema":"brink/settings/1","window":{"x":"left"}})",
      R"({"schema":"brink/settings/1","window":{"x":true,"y":{}}})",
      whole.substr(0, whole.size() / 2)};
  int number = 0;
  for (const std::string& content : contents) {
    CAPTURE(content.substr(0, 60));
    tests::write_bytes(path, content);
    const auto loaded = load_settings(path);
    CHECK(loaded.settings == Settings{});
    CHECK(loaded.message.find("is no settings file of brink") != std::string::npos);
    CHECK(loaded.message.back() == '.');
    CHECK(!fs::exists(path));
    ++number;
    const std::string aside =
        path + (number == 1 ? ".broken" : ".broken-" + std::to_string(std::min(number, 9)));
    CHECK(tests::read_bytes(aside) == content);
    CHECK(load_settings(path).message.empty());  // said once
  }
}

TEST_CASE("numbers out of range are moved to the nearest legal one") {
  tests::TemporaryDirectory directory;
  const std::string path = directory / "settings.json";
  tests::write_bytes(
      path,
      R"({"schema":"brink/settings/1","interface_scale":50,"back_off_db":-3,)"
      R"("taps":[0,2,65,1e300],"window":{"width":-1e300,"height":3000000000},"later":"field"})");
  const auto loaded = load_settings(path);
  CHECK(loaded.message.empty());
  CHECK(loaded.settings.interface_scale == 3.0);
  CHECK(loaded.settings.back_off_db == 0.0);
  CHECK(loaded.settings.taps == std::vector<int>{2});
  CHECK(loaded.settings.window_width == 320);
  CHECK(loaded.settings.window_height == 16384);
  CHECK(!loaded.settings.has_window_place);
}

TEST_CASE("a place that cannot be read or written is one sentence") {
  tests::TemporaryDirectory directory;
  const std::string path = directory / "settings.json";
  fs::create_directory(path);
  const auto loaded = load_settings(path);
  CHECK(loaded.settings == Settings{});
  CHECK(!loaded.message.empty());
  CHECK_THROWS_AS(save_settings(path, Settings{}), base::Error);
  tests::write_bytes(directory / "file", "x");
  CHECK_THROWS_AS(save_settings(directory / "file/settings.json", Settings{}), base::Error);
  CHECK_THROWS_AS(save_settings("", Settings{}), base::Error);
  CHECK(load_settings("").message.empty());
}

TEST_CASE("the settings' place follows the base directory specification") {
  // Tests of one executable run on one thread.
  const auto set = [](const char* name, const char* value) {
    (void)setenv(name, value, 1);  // NOLINT(concurrency-mt-unsafe)
  };
  set("HOME", "/home/mo");
  set("XDG_CONFIG_HOME", "/elsewhere");
  CHECK(desk::settings_path() == "/elsewhere/brink/settings.json");
  set("XDG_CONFIG_HOME", "relative");
  CHECK(desk::settings_path() == "/home/mo/.config/brink/settings.json");
  set("XDG_CONFIG_HOME", "");
  CHECK(desk::settings_path() == "/home/mo/.config/brink/settings.json");
  set("HOME", "");
  CHECK(desk::settings_path().empty());
}
