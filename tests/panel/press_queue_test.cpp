#include "panel/window/press_queue.h"

#include <doctest/doctest.h>

#include <string>

using namespace brink::panel;

namespace {

Press letter(char32_t character) {
  return {Key::kCharacter, character, false, false};
}

Press key(Key which) {
  return {which, 0, false, false};
}

std::vector<Press> text(const std::u32string& characters) {
  std::vector<Press> presses;
  for (const char32_t character : characters) {
    presses.push_back(letter(character));
  }
  return presses;
}

}  // namespace

TEST_CASE("what is pressed after a key that may close a page waits for the pass after it") {
  PressQueue queue;
  const auto first = queue.take({key(Key::kEscape), letter(U'c'), key(Key::kUp)}, false);
  REQUIRE(first.size() == 1);
  CHECK(first[0].key == Key::kEscape);
  CHECK_FALSE(queue.is_empty());
  const auto second = queue.take({letter(U'x')}, false);
  REQUIRE(second.size() == 1);
  CHECK(second[0].character == U'c');
  CHECK(queue.take({}, false).at(0).key == Key::kUp);
  CHECK(queue.take({}, false).at(0).character == U'x');
  CHECK(queue.is_empty());
  CHECK(queue.take({}, false).empty());
}

TEST_CASE("steps of one key are taken together") {
  PressQueue queue;
  Press repeated = key(Key::kUp);
  repeated.is_repeat = true;
  CHECK(queue.take({key(Key::kUp), repeated, repeated, key(Key::kDown)}, false).size() == 3);
  CHECK(queue.take({}, false).size() == 1);
}

TEST_CASE("text is taken as it comes, up to the key that ends it") {
  PressQueue queue;
  auto presses = text(U"2.5k");
  presses.push_back(key(Key::kEnter));
  presses.push_back(letter(U'x'));
  CHECK(queue.take(presses, true).size() == 5);
  const auto after = queue.take({}, false);
  REQUIRE(after.size() == 1);
  CHECK(after[0].character == U'x');
}

TEST_CASE("the key that ends a text waits until the field has all its letters") {
  PressQueue queue;
  auto presses = text(U"ring.wav");
  presses.push_back(key(Key::kEnter));
  CHECK(queue.take(presses, true, true).size() == 8);
  CHECK(queue.take({}, true, true).empty());
  CHECK_FALSE(queue.is_empty());  // so the next pass comes by itself
  CHECK(queue.take({}, true, false).at(0).key == Key::kEnter);
  CHECK(queue.is_empty());
}
