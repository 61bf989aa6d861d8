#include "desk/microphones.h"

#include <doctest/doctest.h>

#include <string>

#include "base/error.h"
#include "support/files.h"

using namespace brink;
using desk::CalibratedMicrophone;

namespace {

std::string response_refusal(const std::string& text) {
  const tests::TemporaryDirectory directory;
  tests::write_bytes(directory / "mic.txt", text);
  try {
    static_cast<void>(desk::read_response(directory / "mic.txt"));
    return "";
  } catch (const base::Error& error) {
    return error.what();
  }
}

}  // namespace

TEST_CASE("a calibration is remembered with its input and channel, and a new one takes its place") {
  const tests::TemporaryDirectory directory;
  const std::string path = directory / "brink/microphones.json";
  CHECK(desk::load_microphones(path).empty());
  const CalibratedMicrophone first{
      "Stage Mic (PipeWire)", 1, "2026-11-29", {118.25, {{20.0, -1.5}, {20000.0, 2.0}}}};
  desk::remember_microphone(path, first);
  desk::remember_microphone(path, {"Stage Mic (PipeWire)", 2, "2026-11-29", {100.0, {}}});
  desk::remember_microphone(path, {"system (JACK)", 1, "2026-11-29", {90.0, {}}});
  desk::remember_microphone(path, {"Stage Mic (PipeWire)", 2, "2026-11-30", {101.0, {}}});
  const auto all = desk::load_microphones(path);
  CHECK(all.size() == 3);
  const auto stage = desk::calibrations_of(all, "Stage Mic (PipeWire)");
  REQUIRE(stage.size() == 2);
  CHECK(stage.at(1).full_scale_db_spl == 118.25);
  REQUIRE(stage.at(1).response.size() == 2);
  CHECK(stage.at(1).response[1].frequency_hz == 20000.0);
  CHECK(stage.at(1).response[1].level_db == 2.0);
  CHECK(stage.at(2).full_scale_db_spl == 101.0);
  CHECK(desk::calibrations_of(all, "another").empty());
}

TEST_CASE("a file that brink did not write is neither read nor replaced") {
  const tests::TemporaryDirectory directory;
  const std::string path = directory / "microphones.json";
  const std::string microphone =
      R"({"schema":"brink/microphones/1","microphones":[{"input":"a","date":"","full_scale_db_spl":9,)";
  for (const std::string& text : {std::string("{}"),
                                  std::string("my notes"),
                                  std::string(R"({"schema":"brink/microphones/1"})"),
                                  microphone + R"("channel":0,"response":[]}]})",
                                  microphone + R"("channel":1,"response":[[200,1],[100,1]]}]})",
                                  microphone + R"("channel":1,"response":[[200,1e300]]}]})"}) {
    CAPTURE(text);
    tests::write_bytes(path, text);
    CHECK_THROWS_AS(static_cast<void>(desk::load_microphones(path)), base::Error);
    CHECK_THROWS_AS(desk::remember_microphone(path, {"a", 1, "", {}}), base::Error);
    CHECK(tests::read_bytes(path) == text);
  }
}

TEST_CASE("a response file has two columns, and a bad line is named") {
  const tests::TemporaryDirectory directory;
  tests::write_bytes(directory / "mic.txt", "* serial 0815\n20 -1.5\n100,\t0\r\n\n10000; 2.25 0\n");
  const auto response = desk::read_response(directory / "mic.txt");
  REQUIRE(response.size() == 3);
  CHECK(response[0].level_db == -1.5);
  CHECK(response[1].frequency_hz == 100.0);
  CHECK(response[2].level_db == 2.25);
  CHECK(response_refusal("20 0\n20 1\n").find("line 2: the frequencies must rise") !=
        std::string::npos);
  CHECK(response_refusal("20\n").find("line 1: there is no second number") != std::string::npos);
  CHECK(response_refusal("-3 0\n").find("line 1: the frequency") != std::string::npos);
  CHECK(response_refusal("20 1e9\n").find("line 1: the level") != std::string::npos);
  CHECK(response_refusal("nothing here\n").find("there is no line") != std::string::npos);
}
