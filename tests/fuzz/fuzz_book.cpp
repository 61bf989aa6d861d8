// Any text as what `brink book` exports: what is taken is written and taken back the same.

#include <cstdint>
#include <string>

#include "fuzz/fuzz.h"
#include "report/book/book_json.h"

using namespace brink;

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  io::BookAction brought;
  if (!fuzz::is_taken([&] { brought = report::parse_book(fuzz::to_text(data, size), "text"); })) {
    return 0;
  }
  std::string text;
  for (const show::ShowRecord& show : brought.shows) {
    text += report::show_json(show);
  }
  for (const show::GuessRecord& guess : brought.guesses) {
    text += report::score_json(guess);
  }
  const io::BookAction again = report::parse_book(text, "again");
  fuzz::demand(again.shows == brought.shows && again.guesses == brought.guesses);
  return 0;
}
