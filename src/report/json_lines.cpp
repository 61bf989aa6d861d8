#include "report/json_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <exception>
#include <stdexcept>

#include "base/error.h"

namespace brink::report {
namespace {

/// Deeper than any line of ours; a parser must not be sent down without end.
constexpr int kMostDepth = 32;

Json parse_object(std::string_view line) {
  int depth = 0;
  const auto bounded = [&depth](int at, Json::parse_event_t, Json&) {
    depth = std::max(depth, at);
    if (depth > kMostDepth) {
      throw std::invalid_argument("depth");
    }
    return true;
  };
  Json json = Json::parse(line.begin(), line.end(), bounded);
  if (!json.is_object()) {
    throw std::invalid_argument("object");
  }
  return json;
}

}  // namespace

void for_each_json_line(std::string_view text,
                        const std::string& name,
                        const std::string& writer,
                        const std::function<void(const Json&)>& take) {
  int line = 0;
  int count = 0;
  while (!text.empty()) {
    ++line;
    const auto end = std::min(text.find('\n'), text.size());
    const std::string_view content = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (content.find_first_not_of(" \t\r") == std::string_view::npos) {
      continue;
    }
    try {
      take(parse_object(content));
    } catch (const base::Error& error) {
      throw base::Error(fmt::format("{}, line {}: {}", name, line, error.what()));
    } catch (const std::exception&) {
      throw base::Error(fmt::format("{}, line {}: is not what {} writes.", name, line, writer));
    }
    ++count;
  }
  if (count == 0) {
    throw base::Error(fmt::format("{}: is empty.", name));
  }
}

}  // namespace brink::report
