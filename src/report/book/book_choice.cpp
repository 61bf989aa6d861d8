#include "report/book/book_choice.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "base/error.h"
#include "base/folded.h"
#include "base/printable.h"
#include "base/time_of_day.h"

namespace brink::report {
namespace {

constexpr std::size_t kFewestDigits = 4;
constexpr std::size_t kKeyDigits = 32;

bool is_beginning(const std::string& text) {
  return text.size() >= kFewestDigits && text.size() <= kKeyDigits &&
         text.find_first_not_of("0123456789abcdef") == std::string::npos;
}

show::ShowRecord must(std::optional<show::ShowRecord> show) {
  if (!show) {
    throw base::Error("the show was taken out of the book just now; look at the list again.");
  }
  return *std::move(show);
}

}  // namespace

show::ShowRecord choose_show(io::BookReader& reader, const std::string& text) {
  if (text == "last") {
    io::ShowFilter newest;
    newest.most = 1;
    const auto shows = reader.shows(newest);
    if (shows.empty()) {
      throw base::Error("the book has no shows yet.");
    }
    return must(reader.show(shows.front().key));
  }
  const std::string digits = base::folded(text);
  if (!is_beginning(digits)) {
    throw base::Error(
        fmt::format("'{}' is no show: write 'last', or four or more digits of its key as 'brink "
                    "book list' has it.",
                    base::printable(text)));
  }
  const auto keys = reader.keys(digits);
  if (keys.empty()) {
    throw base::Error(
        fmt::format("no show's key begins with '{}'; 'brink book list' has them.", digits));
  }
  if (keys.size() > 1) {
    throw base::Error(
        fmt::format("the keys of several shows begin with '{}'; write more digits.", digits));
  }
  return must(reader.show(keys.front()));
}

std::string choose_venue(io::BookReader& reader, const std::string& text) {
  const std::string wanted = base::folded(text);
  std::vector<std::string> parts;
  for (const io::VenueSummary& venue : reader.venues()) {
    const std::string name = base::folded(venue.name);
    if (venue.name == text) {
      return text;
    }
    if (name.find(wanted) != std::string::npos) {
      parts.push_back(venue.name);
    }
  }
  const auto whole = std::find_if(parts.begin(), parts.end(), [&wanted](const std::string& name) {
    return base::folded(name) == wanted;
  });
  if (whole != parts.end()) {
    return *whole;
  }
  if (parts.empty()) {
    throw base::Error(fmt::format("the book has no venue '{}'.", base::printable(text)));
  }
  if (parts.size() > 1) {
    throw base::Error(fmt::format("several venues have '{}' in their name: '{}', '{}'{}.",
                                  base::printable(text),
                                  base::printable(parts[0]),
                                  base::printable(parts[1]),
                                  parts.size() > 2 ? " and more" : ""));
  }
  return parts.front();
}

show::ShowRecord previous_visit(io::BookReader& reader, const show::ShowRecord& show) {
  io::ShowFilter filter;
  filter.venue = show.venue;
  const auto visits = reader.shows(filter);
  const auto found = std::find_if(
      visits.begin(), visits.end(), [&show](const auto& visit) { return visit.key == show.key; });
  if (found == visits.end() || found + 1 == visits.end()) {
    throw base::Error(
        fmt::format("the book has no visit of '{}' before this one.", base::printable(show.venue)));
  }
  return must(reader.show((found + 1)->key));
}

bool is_before(const show::ShowRecord& first, const show::ShowRecord& second) {
  const auto first_time = base::parse_time(first.started_at);
  const auto second_time = base::parse_time(second.started_at);
  return first_time && second_time && first_time->unix_ms < second_time->unix_ms;
}

}  // namespace brink::report
