#include "cuts/link/scale_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>
#include <string_view>
#include <utility>

namespace brink::cuts {
namespace {

using Point = Scale::Point;

/// The words of a line, apart by blanks.
std::vector<std::string_view> split(std::string_view text) {
  std::vector<std::string_view> words;
  for (text = trim(text); !text.empty(); text = trim(text)) {
    const auto end = std::min(text.find_first_of(" \t"), text.size());
    words.push_back(text.substr(0, end));
    text.remove_prefix(end);
  }
  return words;
}

/// "NUMBER:NUMBER".
std::pair<double, double> pair_of(const Entry& entry, std::string_view word) {
  const auto colon = word.find(':');
  if (colon == std::string_view::npos) {
    entry.refuse(fmt::format("needs {}; '{}' has no colon", scale_form(), word));
  }
  return {entry.number(word.substr(0, colon)), entry.number(word.substr(colon + 1))};
}

std::vector<Point> read_points(const Entry& entry,
                               std::span<const std::string_view> words,
                               bool is_table) {
  std::vector<Point> points;
  if (is_table) {
    for (const std::string_view word : words) {
      const auto [number, value] = pair_of(entry, word);
      points.push_back({number, value});
    }
  } else {
    if (words.size() != 3 || words[1] != "is") {
      entry.refuse(fmt::format("needs {}, not '{}'", scale_form(), entry.value));
    }
    const auto [first, last] = pair_of(entry, words[0]);
    const auto [start, end] = pair_of(entry, words[2]);
    points = {{first, start}, {last, end}};
  }
  if (points.size() < 2 || points.size() > Entry::kLongestList) {
    entry.refuse(fmt::format("needs 2 to {} points", Entry::kLongestList));
  }
  return points;
}

void check_points(const Entry& entry, const std::vector<Point>& points, bool is_whole) {
  const bool is_rising = points.back().value > points.front().value;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (is_whole && points[i].number != std::round(points[i].number)) {
      entry.refuse(fmt::format("is whole, but {} is no whole number", points[i].number));
    }
    if (i == 0) {
      continue;
    }
    if (points[i].number <= points[i - 1].number) {
      entry.refuse("needs the console's numbers, those before the colon, in rising order");
    }
    const double step = points[i].value - points[i - 1].value;
    if (is_rising ? step <= 0.0 : step >= 0.0) {
      entry.refuse("needs values that rise throughout, or fall throughout");
    }
  }
}

}  // namespace

const char* scale_form() noexcept {
  return "'linear 0:1 is -60:10', 'logarithmic 0:1 is 20:20000' or 'table 0:-90 0.5:-10 1:10'";
}

Scale to_scale(const Entry& entry, double low, double high) {
  const std::vector<std::string_view> all = split(entry.value);
  std::span<const std::string_view> words(all);
  const std::string_view kind = words.empty() ? "" : words.front();
  if (kind != "linear" && kind != "logarithmic" && kind != "table") {
    entry.refuse(fmt::format("needs {}, not '{}'", scale_form(), entry.value));
  }
  words = words.subspan(1);
  const bool is_whole = !words.empty() && words.front() == "whole";
  words = words.subspan(is_whole ? 1 : 0);
  auto points = read_points(entry, words, kind == "table");
  // "0:127 is 10:-90" and "127:0 is -90:10" say the same.
  if (kind != "table" && points.front().number > points.back().number) {
    std::swap(points.front(), points.back());
  }
  check_points(entry, points, is_whole);
  for (const Point& point : points) {
    if (point.value < low || point.value > high) {
      entry.refuse(fmt::format("must have values within {}:{}, not {}", low, high, point.value));
    }
  }
  if (kind == "logarithmic" && (points.front().value <= 0.0 || points.back().value <= 0.0)) {
    entry.refuse("is logarithmic, so its values must be above 0; dB are linear");
  }
  return {kind == "linear"        ? Scale::Kind::kLinear
          : kind == "logarithmic" ? Scale::Kind::kLogarithmic
                                  : Scale::Kind::kTable,
          is_whole,
          std::move(points)};
}

}  // namespace brink::cuts
