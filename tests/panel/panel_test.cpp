#include "panel/panel.h"

#include <doctest/doctest.h>

#include <chrono>
#include <memory>
#include <nlohmann/json.hpp>
#include <thread>

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
           {U'1', U'2', U'3', U'4', U'5', U'6', U'h', U'?', U'?', U'e', U'e'}) {
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
