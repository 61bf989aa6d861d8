// Writes the sheets of invented shows into a directory, for people to look at and for the browser
// test.

#include <cstdio>
#include <string>

#include "sheet/sheet.h"
#include "support/example_show.h"
#include "support/files.h"

int main(int count, char** words) {
  if (count != 2) {
    std::fputs("usage: sheet_example DIRECTORY\n", stderr);
    return 2;
  }
  namespace sheet = brink::sheet;
  namespace tests = brink::tests;
  const std::string directory = std::string(words[1]) + "/";
  tests::write_bytes(directory + "show.html", sheet::sheet_html(tests::example_show()));
  tests::write_bytes(directory + "empty.html", sheet::sheet_html({}));
  tests::write_bytes(directory + "large.html", sheet::sheet_html(tests::large_show(12, 6)));
  brink::show::ShowRecord alone = tests::large_show(1, 5);
  alone.dismissals.clear();
  alone.note.clear();
  alone.outputs[0].note.clear();
  alone.outputs[0].cuts.clear();
  for (const auto& round : alone.outputs[0].rounds) {
    alone.outputs[0].cuts.push_back(*round.cut);
  }
  tests::write_bytes(directory + "alone.html", sheet::sheet_html(alone));
  tests::write_bytes(directory + "long.html", sheet::sheet_html(tests::large_show(1, 200)));
  tests::write_bytes(directory + "hostile.html", sheet::sheet_html(tests::hostile_show()));
  tests::write_bytes(directory + "ear.html",
                     sheet::ear_sheet_html(tests::example_guesses(), "Wren"));
  tests::write_bytes(directory + "ear_empty.html", sheet::ear_sheet_html({}, "Wren"));
  return 0;
}
