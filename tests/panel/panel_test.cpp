#include "panel/panel.h"

#include <doctest/doctest.h>

#include <chrono>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "support/files.h"
#include "support/paper.h"

using namespace brink;
using namespace brink::panel;

TEST_CASE("every pane and page draws at every size and scale, and says what it shows") {
  const tests::TemporaryDirectory folder;
  for (const float scale : {1.0F, 3.0F}) {
    for (const float width : {960.0F, 1280.0F, 3840.0F}) {
      tests::Paper paper(width, 0.625F * width, scale);
      int rows = 0;
      Panel panel([] {}, std::make_unique<tests::BlindStrip>(rows), folder / "book.sqlite");
      for (const char32_t key :
           {U'1', U'2', U'3', U'4', U'5', U'6', U'7', U'h', U'?', U'?', U'e', U'e'}) {
        Input input;
        input.presses = {{Key::kCharacter, key, false, false}};
        const int corners =
            paper.pass([&] { panel.draw(input, paper.theme(), width, 0.625F * width); });
        CHECK(corners > 500);
      }
      const auto state = nlohmann::json::parse(panel.state_json());
      CHECK(state["schema"] == "brink/panel/1");
      CHECK(state["hides_answers"] == true);
    }
  }
}

TEST_CASE("the strip writes a row for each 1/512 of what it shows, not more") {
  const tests::TemporaryDirectory folder;
  tests::Paper paper(1280.0F, 800.0F);
  int rows = 0;
  Panel panel([] {}, std::make_unique<tests::BlindStrip>(rows), folder / "book.sqlite");
  const auto pass = [&] { paper.pass([&] { panel.draw({}, paper.theme(), 1280.0F, 800.0F); }); };
  pass();
  rows = 0;
  while (panel.desk().stream_s() < 1.0) {
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
    pass();
  }
  // 1 s of 20 s in 512 rows is 25.6; what came with the first pass was not counted.
  CHECK(rows >= 20);
  CHECK(rows <= 27);
}

TEST_CASE("a file dropped onto any pane opens as a recording, and one that is none loses nothing") {
  const tests::TemporaryDirectory folder;
  const std::string clip = std::string(BRINK_TEST_SIGNALS) + "/two_rings.flac";
  const std::string notes = folder / "notes.wav";
  tests::write_bytes(notes, "bring two more stands");
  tests::Paper paper(1280.0F, 800.0F);
  int rows = 0;
  Panel panel([] {}, std::make_unique<tests::BlindStrip>(rows), folder / "book.sqlite");
  const auto drop = [&](std::vector<std::string> files) {
    Input input;
    input.dropped_files = std::move(files);
    paper.pass([&] { panel.draw(input, paper.theme(), 1280.0F, 800.0F); });
  };
  const auto finished = [&] {
    nlohmann::json state;
    // Far longer than the analysis takes; a hang fails.
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(60);
    do {
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
      drop({});
      state = nlohmann::json::parse(panel.state_json());
    } while (state["Recording"]["is_working"] == true && std::chrono::steady_clock::now() < end);
    return state;
  };

  drop({clip});
  const auto one = finished();
  CHECK(one["pane"] == "Recording");
  CHECK(one["Recording"]["file"] == "two_rings.flac");
  CHECK(one["Recording"]["warnings"] == "");

  SUBCASE("no recording") {
    drop({notes});
    const auto state = finished();
    const auto fault = state["Recording"]["fault"].get<std::string>();
    CHECK(fault.find("notes.wav") != std::string::npos);
    CHECK(state["Recording"]["file"] == "two_rings.flac");
    CHECK(state["Recording"]["ring_count"] == one["Recording"]["ring_count"]);
  }
  SUBCASE("several") {
    drop({folder / "list.txt", clip, notes});
    const auto warnings = finished()["Recording"]["warnings"].get<std::string>();
    CHECK(warnings.find("3 files") != std::string::npos);
    CHECK(warnings.find("two_rings.flac") != std::string::npos);
  }
  SUBCASE("no recording while another is analysed") {
    const std::string copy = folder / "again.flac";
    tests::write_bytes(copy, tests::read_bytes(clip));
    drop({copy});
    drop({notes, folder / "list.txt"});
    const auto state = finished();
    CHECK(state["Recording"]["file"] == "again.flac");
    CHECK(state["Recording"]["was_stopped"] == false);
    // What was said of the files dropped with the one that failed is not about this one.
    CHECK(state["Recording"]["warnings"] == "");
    CHECK(state["Recording"]["fault"].get<std::string>().find("notes.wav") != std::string::npos);
  }
}
