#include "cli/stage/scenario_list.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <sstream>

#include "base/error.h"
#include "base/printable.h"

namespace brink::cli {
namespace {

[[noreturn]] void refuse(const std::string& name, int line, const std::string& why) {
  throw base::Error{fmt::format("{}, line {}: {}.", base::printable(name), line, why)};
}

bool is_name(const std::string& text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char letter) {
    return (letter >= 'a' && letter <= 'z') || (letter >= '0' && letter <= '9') || letter == '_';
  });
}

void take_line(ScenarioList& list,
               const std::string& name,
               int line,
               const std::string& word,
               const std::string& rest) {
  if (word == "title" || word == "text") {
    list.head += (word == "title" ? "# " : "") + rest + "\n\n";
    return;
  }
  if (word == "clip") {
    if (!is_name(rest)) {
      refuse(name, line, "a clip's name has small letters, digits and underscores");
    }
    if (std::any_of(list.clips.begin(), list.clips.end(), [&](const ScenarioClip& other) {
          return other.name == rest;
        })) {
      refuse(name, line, fmt::format("clip {}: is there twice", rest));
    }
    list.clips.push_back({line, rest, "", "", ""});
    return;
  }
  if (list.clips.empty()) {
    refuse(name, line, fmt::format("'{}' before the first clip", base::printable(word)));
  }
  ScenarioClip& clip = list.clips.back();
  if (word == "kind") {
    clip.kind = rest;
  } else if (word == "about") {
    clip.about = rest;
  } else if (word == "options") {
    clip.options += (clip.options.empty() ? "" : " ") + rest;
  } else {
    refuse(name, line, fmt::format("no such word: '{}'", base::printable(word)));
  }
}

}  // namespace

ScenarioList parse_scenarios(const std::string& text, const std::string& name) {
  std::istringstream lines{text};
  ScenarioList list;
  std::string content;
  for (int line = 1; std::getline(lines, content); ++line) {
    const auto start = content.find_first_not_of(" \t\r");
    if (start == std::string::npos || content[start] == '#') {
      continue;
    }
    const auto end = std::min(content.find_first_of(" \t", start), content.size());
    const auto rest = std::min(content.find_first_not_of(" \t", end), content.size());
    take_line(list, name, line, content.substr(start, end - start), content.substr(rest));
  }
  if (list.clips.empty()) {
    throw base::Error{fmt::format("{}: names no clip.", base::printable(name))};
  }
  return list;
}

StageWords words_of(const ScenarioClip& clip, const std::string& name) {
  StageWords words;
  CLI::App parser;
  add_stage_options(parser, words);
  try {
    parser.parse(clip.options);
  } catch (const CLI::ParseError& error) {
    refuse(name, clip.line, fmt::format("clip {}: {}", clip.name, base::printable(error.what())));
  }
  if (is_matrix(words)) {
    refuse(name,
           clip.line,
           fmt::format("clip {}: a list has stages of one microphone and one output", clip.name));
  }
  return words;
}

}  // namespace brink::cli
