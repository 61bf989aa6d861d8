#include "panel/draw/text_line.h"

#include <doctest/doctest.h>

#include <initializer_list>

using namespace brink::panel;

namespace {

void type(TextLine& line, std::u32string_view text) {
  for (const char32_t character : text) {
    line.press({Key::kCharacter, character, false, false});
  }
}

void press(TextLine& line, std::initializer_list<Key> keys) {
  for (const Key key : keys) {
    line.press({key, 0, false, false});
  }
}

}  // namespace

TEST_CASE("text is typed at the cursor, whole characters at a time") {
  TextLine line("Hall");
  type(line, U" 7");
  CHECK(line.text() == "Hall 7");
  press(line, {Key::kHome, Key::kRight, Key::kDelete});
  type(line, U"\u00f6");  // two bytes
  CHECK(line.text() == "H\u00f6ll 7");
  CHECK(line.before_cursor() == "H\u00f6");
  press(line, {Key::kBackspace});
  CHECK(line.text() == "Hll 7");
  type(line, U"\u266d\U0001D11E");  // three bytes and four
  press(line, {Key::kLeft, Key::kLeft, Key::kDelete});
  CHECK(line.text() == "H\U0001D11Ell 7");
  press(line, {Key::kEnd, Key::kBackspace, Key::kBackspace});
  CHECK(line.text() == "H\U0001D11Ell");
}

TEST_CASE("the ends of a text hold whatever is pressed") {
  TextLine line;
  press(line, {Key::kBackspace, Key::kDelete, Key::kLeft, Key::kRight, Key::kUp, Key::kF12});
  CHECK(line.text().empty());
  type(line, U"a\tb\x7");  // control characters are no text
  CHECK(line.text() == "ab");
  for (int i = 0; i < 2000; ++i) {
    type(line, U"x");
  }
  CHECK(line.text().size() == 400);
}
