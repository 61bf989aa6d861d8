#include "app/book_choice.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "app/time_of_day.h"
#include "core/error.h"
#include "io/folded.h"
#include "io/printable.h"

namespace brink::app {
namespace {

constexpr std::size_t kFewestDigits = 4;
constexpr std::size_t kKeyDigits = 32;

bool is_beginning(const std::string& text) {
  return text.size() >= kFewestDigits && text.size() <= kKeyDigits &&
         text.find_first_not_of("0123456789abcdef") == std::string::npos;
}

io::ShowRecord must(std::optional<io::ShowRecord> show) {
  if (!show) {
    throw core::Error("the show was taken out of the book just now; look at the list again.");
  }
  return *std::move(show);
}

}  // namespace

io::ShowRecord choose_show(io::BookReader& reader, const std::string& text) {
  if (text == "last") {
    io::ShowFilter newest;
    newest.most = 1;
    const auto shows = reader.shows(newest);
    if (shows.empty()) {
      throw core::Error("the book has no shows yet.");
    }
    return must(reader.show(shows.front().key));
  }
  const std::string digits = io::folded(text);
  if (!is_beginning(digits)) {
    throw core::Error(
        fmt::format("'{}' is no show: write 'last', or four or more digits of its key as 'brink "
                    "book list' has it.",
                    io::printable(text)));
  }
  const auto keys = reader.keys(digits);
  if (keys.empty()) {
    throw core::Error(
        fmt::format("no show's key begins with '{}'; 'brink book list' has them.", digits));
  }
  if (keys.size() > 1) {
    throw core::Error(
        fmt::format("the keys of several shows begin with '{}'; write more digits.", digits));
  }
  return must(reader.show(keys.front()));
}

std::string choose_venue(io::BookReader& reader, const std::string& text) {
  const std::string wanted = io::folded(text);
  std::vector<std::string> parts;
  for (const io::VenueSummary& venue : reader.venues()) {
    const std::string name = io::folded(venue.name);
    if (venue.name == text) {
      return text;
    }
    if (name.find(wanted) != std::string::npos) {
      parts.push_back(venue.name);
    }
  }
  const auto whole = std::find_if(parts.begin(), parts.end(), [&wanted](const std::string& name) {
    return io::folded(name) == wanted;
  });
  if (whole != parts.end()) {
    return *whole;
  }
  if (parts.empty()) {
    throw core::Error(fmt::format("the book has no venue '{}'.", io::printable(text)));
  }
  if (parts.size() > 1) {
    throw core::Error(fmt::format("several venues have '{}' in their name: '{}', '{}'{}.",
                                  io::printable(text),
                                  io::printable(parts[0]),
                                  io::printable(parts[1]),
                                  parts.size() > 2 ? " and more" : ""));
  }
  return parts.front();
}

io::ShowRecord previous_visit(io::BookReader& reader, const io::ShowRecord& show) {
  io::ShowFilter filter;
  filter.venue = show.venue;
  const auto visits = reader.shows(filter);
  const auto found = std::find_if(
      visits.begin(), visits.end(), [&show](const auto& visit) { return visit.key == show.key; });
  if (found == visits.end() || found + 1 == visits.end()) {
    throw core::Error(
        fmt::format("the book has no visit of '{}' before this one.", io::printable(show.venue)));
  }
  return must(reader.show((found + 1)->key));
}

bool is_before(const io::ShowRecord& first, const io::ShowRecord& second) {
  const auto first_time = parse_time(first.started_at);
  const auto second_time = parse_time(second.started_at);
  return first_time && second_time && first_time->unix_ms < second_time->unix_ms;
}

}  // namespace brink::app
