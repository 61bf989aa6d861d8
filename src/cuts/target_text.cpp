#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <functional>
#include <map>
#include <optional>

#include "base/error.h"
#include "cuts/grid.h"
#include "cuts/target.h"

namespace brink::cuts {
namespace {

std::string_view trim(std::string_view text) {
  constexpr std::string_view kBlank = " \t\r";
  const auto first = text.find_first_not_of(kBlank);
  if (first == std::string_view::npos) {
    return {};
  }
  return text.substr(first, text.find_last_not_of(kBlank) - first + 1);
}

/// One line `field = value`, with the error messages for it.
struct Entry {
  int line = 0;
  std::string field;
  std::string value;
  std::string text_name;

  [[noreturn]] void refuse(const std::string& what) const {
    throw base::Error(fmt::format("{}, line {}: {} {}.", text_name, line, field, what));
  }

  [[nodiscard]] double number(std::string_view word) const {
    double result = 0.0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), result);
    if (error != std::errc{} || end != word.data() + word.size() || !std::isfinite(result)) {
      refuse(fmt::format("needs a number, not '{}'", word));
    }
    return result;
  }

  [[nodiscard]] double number_within(double low, double high) const {
    const double result = number(value);
    if (result < low || result > high) {
      refuse(fmt::format("must be {} to {}, not {}", low, high, value));
    }
    return result;
  }

  struct Range {
    double low;
    double high;
  };

  /// Reads "LOW:HIGH", both between the two limits.
  [[nodiscard]] Range range_within(double low, double high) const {
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

  /// Reads rising numbers with blanks between them, all between the two limits.
  [[nodiscard]] std::vector<double> list_within(double low, double high) const {
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

  static constexpr std::size_t kLongestList = 64;
};

using Entries = std::map<std::string, Entry, std::less<>>;

Entries read_entries(std::string_view text, const std::string& name) {
  Entries entries;
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
      throw base::Error(
          fmt::format("{}, line {}: needs 'field = value', not '{}'.", name, line, content));
    }
    Entry entry{line,
                std::string(trim(content.substr(0, equals))),
                std::string(trim(content.substr(equals + 1))),
                name};
    if (const auto earlier = entries.find(entry.field); earlier != entries.end()) {
      entry.refuse(fmt::format("was already given in line {}", earlier->second.line));
    }
    entries.emplace(entry.field, entry);
  }
  return entries;
}

/// Takes entries one by one. An entry that is left at the end is unknown.
class Taker {
 public:
  Taker(Entries entries, std::string name) : entries_(std::move(entries)), name_(std::move(name)) {}

  std::optional<Entry> take(std::string_view field) {
    const auto found = entries_.find(field);
    if (found == entries_.end()) {
      return std::nullopt;
    }
    Entry entry = found->second;
    entries_.erase(found);
    return entry;
  }

  Entry need(std::string_view field) {
    auto entry = take(field);
    if (!entry) {
      throw base::Error(fmt::format("{}: the field {} is missing.", name_, field));
    }
    return *entry;
  }

  void refuse_rest(std::string_view kind) const {
    if (!entries_.empty()) {
      entries_.begin()->second.refuse(fmt::format("is no field of a {} target", kind));
    }
  }

 private:
  Entries entries_;
  std::string name_;
};

void take_graphic(Taker& taker, Target& target) {
  target.kind = Target::Kind::kGraphic;
  const Entry spacing = taker.need("spacing");
  if (spacing.value != "third-octave" && spacing.value != "octave") {
    spacing.refuse(fmt::format("must be third-octave or octave, not '{}'", spacing.value));
  }
  const int apart = spacing.value == "octave" ? 3 : 1;
  target.centres_hz = iec_grid(apart);
  target.qs = {graphic_band_q(apart)};
  target.deepest_db = -12.0;
  if (const auto q = taker.take("q")) {
    target.qs = {q->number_within(0.1, 60.0)};
  }
  if (const auto range = taker.take("frequency")) {
    // Half a step of room, so that nominal centres (63, 315) match their exact ones.
    const auto [low_hz, high_hz] = range->range_within(10.0, 40000.0);
    std::erase_if(target.centres_hz, [low = low_hz / 1.1, high = high_hz * 1.1](double hz) {
      return hz < low || hz > high;
    });
    if (target.centres_hz.empty()) {
      range->refuse("leaves no band");
    }
  }
  target.bands = static_cast<int>(target.centres_hz.size());
}

void take_parametric(Taker& taker, Target& target) {
  target.kind = Target::Kind::kParametric;
  const Entry bands = taker.need("bands");
  const double count = bands.number_within(1.0, 32.0);
  if (count != std::floor(count)) {
    bands.refuse(fmt::format("must be a whole number, not {}", bands.value));
  }
  target.bands = static_cast<int>(count);
  Entry::Range frequency{20.0, 20000.0};
  if (const auto range = taker.take("frequency")) {
    frequency = range->range_within(10.0, 40000.0);
  }
  double steps_per_octave = 48.0;
  if (const auto steps = taker.take("frequency_steps_per_octave")) {
    steps_per_octave = steps->number_within(1.0, 200.0);
  }
  target.centres_hz = even_ratio_grid(frequency.low, frequency.high, steps_per_octave);
  if (const auto list = taker.take("frequency_list")) {
    target.centres_hz = list->list_within(10.0, 40000.0);
  }
  Entry::Range q{0.5, 30.0};
  if (const auto range = taker.take("q")) {
    q = range->range_within(0.1, 120.0);
  }
  target.qs = even_ratio_grid(q.low, q.high, 8.0);
  if (const auto list = taker.take("q_list")) {
    target.qs = list->list_within(0.1, 120.0);
  }
}

}  // namespace

Target parse_target(std::string_view text, const std::string& name) {
  Taker taker(read_entries(text, name), name);
  Target target;
  target.source_text = text;
  target.name = name;
  if (const auto given = taker.take("name")) {
    target.name = given->value;
  }
  if (const auto about = taker.take("about")) {
    target.about = about->value;
  }
  const Entry kind = taker.need("kind");
  if (kind.value == "graphic") {
    take_graphic(taker, target);
  } else if (kind.value == "parametric") {
    take_parametric(taker, target);
  } else {
    kind.refuse(fmt::format("must be graphic or parametric, not '{}'", kind.value));
  }
  if (const auto deepest = taker.take("deepest")) {
    target.deepest_db = deepest->number_within(-60.0, -0.1);
  }
  if (const auto step = taker.take("depth_step")) {
    target.depth_step_db = step->number_within(0.1, 12.0);
    if (target.depth_step_db > -target.deepest_db) {
      step->refuse(fmt::format("must not exceed the deepest cut, {} dB", target.deepest_db));
    }
  }
  if (const auto range = taker.take("high_pass")) {
    const auto [low_hz, high_hz] = range->range_within(10.0, 1000.0);
    double steps_per_octave = 6.0;
    if (const auto steps = taker.take("high_pass_steps_per_octave")) {
      steps_per_octave = steps->number_within(1.0, 48.0);
    }
    target.high_pass_hz = even_ratio_grid(low_hz, high_hz, steps_per_octave);
  }
  taker.refuse_rest(kind.value);
  return target;
}

}  // namespace brink::cuts
