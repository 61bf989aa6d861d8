#include "base/printable.h"

#include <doctest/doctest.h>

#include "base/folded.h"
#include "base/utf8.h"

using brink::base::folded;
using brink::base::printable;
using brink::base::printable_lines;

TEST_CASE("what steers a terminal or turns the reading order becomes a question mark") {
  CHECK(printable("a\x1b[31mb\r\n\tc\x7f") == "a?[31mb???c?");
  CHECK(printable("csi \xC2\x9B 31m") == "csi ? 31m");  // U+009B, a C1 control
  CHECK(printable("csi \x9B 31m") == "csi ? 31m");      // the same in ISO 8859
  CHECK(printable("a\xE2\x80\xAE"
                  "b\xE2\x81\xA6"
                  "c\xE2\x80\x8F") == "a?b?c?");  // 202E 2066 200F
  CHECK(printable("a\xE2\x80\xA8"
                  "b\xEF\xBB\xBF") == "a?b?");  // U+2028, U+FEFF
  CHECK(printable("\xC3\xA9 \xE6\x97\xA5 \xF0\x9F\x8E\xA4") ==
        "\xC3\xA9 \xE6\x97\xA5 \xF0\x9F\x8E\xA4");
  CHECK(printable("a\xE2\x80\x8D"
                  "b") ==
        "a\xE2\x80\x8D"
        "b");                                        // a joiner
  CHECK(printable("caf\xE9.wav") == "caf\xE9.wav");  // another encoding
  CHECK(printable_lines("a\tb\nc\x1b\r\n") == "a\tb\nc??\n");
}

TEST_CASE("characters are counted, made and brought to lower case as Unicode has them") {
  using namespace brink::base;
  CHECK(count_characters("\xC3\xA9\xE6\x97\xA5\xF0\x9F\x8E\xA4x") == 4);
  CHECK(count_characters("\xE9\xE6") == 2);
  CHECK(!first_character("\xED\xA0\x80").is_valid);  // a surrogate; RFC 3629, section 3
  CHECK(!first_character("\xC0\x80").is_valid);      // overlong
  std::string text;
  append_utf8(text, 0x1F3A4);
  append_utf8(text, 0xD800);
  CHECK(text == "\xF0\x9F\x8E\xA4");
  CHECK(folded("\xC3\x89 \xD0\x96 A\xFF") == "\xC3\xA9 \xD0\xB6 a\xFF");
}
