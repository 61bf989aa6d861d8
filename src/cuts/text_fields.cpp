#include "cuts/text_fields.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "base/error.h"

namespace brink::cuts {
namespace {

[[noreturn]] void refuse_line(const std::string& text_name, int line, const std::string& what) {
  std::string sentence = fmt::format("{}, line {}: {}.", text_name, line, what);
  std::replace(sentence.begin(), sentence.end(), '\0', '?');  // or the sentence would end there
  throw base::Error(sentence);
}

}  // namespace

std::string_view trim(std::string_view text) noexcept {
  constexpr std::string_view kBlank = " \t\r";
  const auto first = text.find_first_not_of(kBlank);
  if (first == std::string_view::npos) {
    return {};
  }
  return text.substr(first, text.find_last_not_of(kBlank) - first + 1);
}

void Entry::refuse(const std::string& what) const {
  refuse_line(text_name, line, field + " " + what);
}

double Entry::number(std::string_view word) const {
  double result = 0.0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), result);
  if (error != std::errc{} || end != word.data() + word.size() || !std::isfinite(result)) {
    refuse(fmt::format("needs a number, not '{}'", word));
  }
  return result;
}

double Entry::number_within(double low, double high) const {
  const double result = number(value);
  if (result < low || result > high) {
    refuse(fmt::format("must be {} to {}, not {}", low, high, value));
  }
  return result;
}

int Entry::whole_within(int low, int high) const {
  const double result = number_within(low, high);
  if (result != std::floor(result)) {
    refuse(fmt::format("must be a whole number, not {}", value));
  }
  return static_cast<int>(result);
}

Entry::Range Entry::range_within(double low, double high) const {
  const std::string_view all = value;
  const auto colon = all.find(':');
  if (colon == std::string_view::npos) {
    refuse(fmt::format("needs LOW:HIGH, not '{}'", value));
  }
  const Range range{number(trim(all.substr(0, colon))), number(trim(all.substr(colon + 1)))};
  if (range.low < low || range.high > high || range.low > range.high) {
    refuse(fmt::format("must lie within {}:{} and rise, not {}", low, high, value));
  }
  return range;
}

std::vector<double> Entry::list_within(double low, double high) const {
  std::vector<double> numbers;
  std::string_view rest = value;
  while (!rest.empty()) {
    const auto end = std::min(rest.find_first_of(" \t"), rest.size());
    numbers.push_back(number(rest.substr(0, end)));
    rest = trim(rest.substr(end));
  }
  if (numbers.empty() || numbers.size() > kLongestList || numbers.front() < low ||
      numbers.back() > high ||
      !std::is_sorted(numbers.begin(), numbers.end(), std::less_equal<>{})) {
    refuse(fmt::format("needs at most {} rising numbers within {} to {}, not '{}'",
                       kLongestList,
                       low,
                       high,
                       value));
  }
  return numbers;
}

Taker::Taker(std::string_view text, std::string name) : name_(std::move(name)) {
  int line = 0;
  while (!text.empty()) {
    ++line;
    const auto end = std::min(text.find('\n'), text.size());
    const std::string_view whole = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::string_view content = trim(whole.substr(0, std::min(whole.find('#'), whole.size())));
    if (content.empty()) {
      continue;
    }
    const auto equals = content.find('=');
    if (equals == std::string_view::npos) {
      refuse_line(name_, line, fmt::format("needs 'field = value', not '{}'", content));
    }
    Entry entry{line,
                std::string(trim(content.substr(0, equals))),
                std::string(trim(content.substr(equals + 1))),
                name_};
    if (const auto earlier = entries_.find(entry.field); earlier != entries_.end()) {
      entry.refuse(fmt::format("was already given in line {}", earlier->second.line));
    }
    entries_.emplace(entry.field, entry);
  }
}

std::optional<Entry> Taker::take(std::string_view field) {
  const auto found = entries_.find(field);
  if (found == entries_.end()) {
    return std::nullopt;
  }
  Entry entry = found->second;
  entries_.erase(found);
  return entry;
}

Entry Taker::need(std::string_view field) {
  auto entry = take(field);
  if (!entry) {
    throw base::Error(fmt::format("{}: the field {} is missing.", name_, field));
  }
  return *entry;
}

const Entry* Taker::find_beginning(std::string_view beginning) const {
  const auto found = entries_.lower_bound(beginning);
  return found != entries_.end() && found->first.compare(0, beginning.size(), beginning) == 0
             ? &found->second
             : nullptr;
}

void Taker::refuse_rest(std::string_view kind) const {
  if (!entries_.empty()) {
    entries_.begin()->second.refuse(fmt::format("is no field of a {} target", kind));
  }
}

}  // namespace brink::cuts
