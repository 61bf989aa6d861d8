#include "io/live/inputs.h"

#include <doctest/doctest.h>

#include "base/error.h"

using namespace brink;

namespace {

const std::vector<io::InputDevice>& some_inputs() {
  static const std::vector<io::InputDevice> kInputs{
      {0, "Stage box", "ALSA", 16, 48000.0, false},
      {2, "Pocket mic", "ALSA", 1, 44100.0, true},
      {5, "Stage box", "JACK", 2, 96000.0, false},
      {7, "4", "JACK", 2, 96000.0, false},
  };
  return kInputs;
}

int found(std::string_view wanted) {
  return io::find_input(some_inputs(), wanted).number;
}

std::string refusal(std::string_view wanted) {
  try {
    static_cast<void>(found(wanted));
    return "";
  } catch (const base::Error& error) {
    return error.what();
  }
}

}  // namespace

TEST_CASE("an input is found by number, label, name or part of a name") {
  CHECK(found("") == 2);
  CHECK(found("5") == 5);
  CHECK(found("Stage box (JACK)") == 5);
  CHECK(found("stage box (alsa)") == 0);
  CHECK(found("POCKET") == 2);
  CHECK(found("4") == 7);  // a name comes before a number
}

TEST_CASE("an input's id comes before everything, so that no other is taken for it") {
  const std::vector<io::InputDevice> inputs{
      {.number = 0, .name = "Desk", .api = "PipeWire", .channels = 2, .id = "usb.2"},
      {.number = 1, .name = "usb.2", .api = "PipeWire", .channels = 2, .id = "usb.1"}};
  CHECK(io::find_input(inputs, "usb.2").number == 0);
  CHECK(io::find_input(inputs, "usb.1").number == 1);
  CHECK(io::find_input(inputs, "desk (pipewire)").number == 0);
}

TEST_CASE("an input that is not there, or not the only one, is refused with what there is") {
  CHECK(refusal("Stage box") ==
        "'Stage box' fits more than one input: 0 Stage box (ALSA), 5 Stage box (JACK); take the "
        "number.");
  CHECK(refusal("9").find("There is no input '9'; there are: 0 Stage box (ALSA), 2 ") == 0);
  CHECK(refusal("wireless").find("There is no input 'wireless'") == 0);
  CHECK_THROWS_AS(static_cast<void>(io::find_input({}, "")), base::Error);
}

TEST_CASE("all channels of a device are usual, and two of a name that claims any number") {
  const auto usual = [](const char* name, const char* api, int channels) {
    return io::InputDevice{0, name, api, channels, 48000.0, false}.usual_channels();
  };
  CHECK(usual("USB desk: Audio (hw:1,0)", "ALSA", 18) == 18);
  CHECK(usual("system", "JACK", 2) == 2);
  CHECK(usual("desk", "JACK", 128) == 64);
  CHECK(usual("default", "ALSA", 128) == 2);
  CHECK(usual("pulse", "ALSA", 1) == 1);
}

TEST_CASE("a list of inputs survives the way from the child to its parent") {
  std::vector<io::InputDevice> inputs = some_inputs();
  inputs[0].name = "tab\tand\nline";
  inputs[2].id = "front.monitor";
  inputs[2].is_monitor = true;
  const std::vector<io::InputDevice> back = io::from_lines(io::to_lines(inputs));
  REQUIRE(back.size() == inputs.size());
  CHECK(back[0].name == "tab?and?line");
  CHECK(back[2].label() == "Stage box (JACK)");
  CHECK(back[1].is_default);
  CHECK(back[1].id.empty());
  CHECK_FALSE(back[1].is_monitor);
  CHECK(back[2].id == "front.monitor");
  CHECK(back[2].is_monitor);
  CHECK_FALSE(back[2].is_default);
  CHECK(back[1].default_rate_hz == 44100.0);
  CHECK(back[3].channels == 2);
  CHECK(io::from_lines("").empty());
}
