// How long it takes to open, list, compare and search a book of ten years: 2000 shows with 200 000
// rings, generated. Prints milliseconds; there is no pass or fail.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <string>
#include <vector>

#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "report/book/book_choice.h"
#include "show/compare.h"
#include "support/book_samples.h"
#include "support/files.h"

namespace {

using brink::io::Book;
using brink::io::BookReader;
using Clock = std::chrono::steady_clock;

constexpr std::uint32_t kShows = 2000;
constexpr std::size_t kOutputs = 5;
constexpr std::size_t kRounds = 20;
constexpr int kRuns = 21;

double ms_since(Clock::time_point start) {
  return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

/// Runs `look` many times and prints its median and longest time.
template <typename Look>
void measure(const char* what, const Look& look) {
  std::vector<double> times_ms;
  std::size_t size = 0;
  for (int i = 0; i < kRuns; ++i) {
    const auto start = Clock::now();
    size = look();
    times_ms.push_back(ms_since(start));
  }
  std::sort(times_ms.begin(), times_ms.end());
  fmt::print("{:<44} {:8.2f} ms median {:8.2f} ms longest  ({})\n",
             what,
             times_ms[kRuns / 2],
             times_ms.back(),
             size);
}

brink::show::ShowRecord show_number(std::uint32_t number) {
  return brink::tests::sample_show(number, kOutputs, kRounds);
}

void write(const std::string& path) {
  const auto start = Clock::now();
  {
    Book book(path);
    for (std::uint32_t i = 0; i < kShows; ++i) {
      (void)book.wait_for(book.keep(show_number(i)), 60.0);
    }
  }
  fmt::print("{} shows, {} rings written in {:.1f} s, a transaction each; {:.1f} MiB\n",
             kShows,
             kShows * kOutputs * kRounds,
             ms_since(start) / 1000.0,
             static_cast<double>(std::filesystem::file_size(path)) / 1048576.0);
}

void read(const std::string& path) {
  measure("open, first page of the list", [&path] {
    BookReader reader(path);
    brink::io::ShowFilter page;
    page.most = 50;
    return reader.shows(page).size();
  });
  measure("open, whole list", [&path] { return BookReader(path).shows().size(); });
  BookReader reader(path);
  measure("list", [&reader] { return reader.shows().size(); });
  const auto newest = reader.shows().front();
  measure("visits of a venue", [&] {
    brink::io::ShowFilter visits;
    visits.venue = newest.venue;
    return reader.shows(visits).size();
  });
  measure("venues", [&reader] { return reader.venues().size(); });
  measure("one show", [&] { return reader.show(newest.key)->outputs.size(); });
  measure("compare with the visit before", [&] {
    const auto now = brink::report::choose_show(reader, newest.key.substr(0, 8));
    const auto before = brink::report::previous_visit(reader, now);
    return brink::show::compare_visits(before, now).outputs.size();
  });
  const auto search = [&reader](const char* words) {
    brink::io::ShowFilter filter;
    filter.text = words;
    return reader.shows(filter).size();
  };
  measure("search, in most shows", [&] { return search("STEPS back"); });
  measure("search, in one", [&] { return search("evening 1234"); });
  measure("search, nowhere", [&] { return search("submarine"); });
}

void keep(const std::string& path) {
  Book book(path);
  auto show = show_number(kShows);
  measure("keep a cut in a show of 100 rounds", [&] {
    show.outputs.back().rounds.push_back(show.outputs.back().rounds.front());
    (void)book.wait_for(book.keep(show), 60.0);
    return book.kept();
  });
}

}  // namespace

int main() {
  const brink::tests::TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  write(path);
  read(path);
  keep(path);
  return 0;
}
