#include "cli/stage_list.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <fstream>

#include "base/error.h"
#include "base/printable.h"
#include "cli/command.h"
#include "cli/output.h"
#include "cli/stage_options.h"
#include "io/whole_sound.h"
#include "report/stage_report.h"

namespace brink::cli {
namespace {

struct Clip {
  int line = 0;
  std::string name;
  std::string kind;
  std::string about;
  std::string options;
};

struct ScenarioList {
  std::string head;
  std::vector<Clip> clips;
};

[[noreturn]] void refuse(const std::string& path, int line, const std::string& why) {
  throw base::Error{fmt::format("{}, line {}: {}.", base::printable(path), line, why)};
}

bool is_name(const std::string& text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char letter) {
    return (letter >= 'a' && letter <= 'z') || (letter >= '0' && letter <= '9') || letter == '_';
  });
}

void take_line(ScenarioList& list,
               const std::string& path,
               int line,
               const std::string& word,
               const std::string& rest) {
  if (word == "title" || word == "text") {
    list.head += (word == "title" ? "# " : "") + rest + "\n\n";
    return;
  }
  if (word == "clip") {
    if (!is_name(rest)) {
      refuse(path, line, "a clip's name has small letters, digits and underscores");
    }
    list.clips.push_back({line, rest, "", "", ""});
    return;
  }
  if (list.clips.empty()) {
    refuse(path, line, fmt::format("'{}' before the first clip", base::printable(word)));
  }
  Clip& clip = list.clips.back();
  if (word == "kind") {
    clip.kind = rest;
  } else if (word == "about") {
    clip.about = rest;
  } else if (word == "options") {
    clip.options += (clip.options.empty() ? "" : " ") + rest;
  } else {
    refuse(path, line, fmt::format("no such word: '{}'", base::printable(word)));
  }
}

ScenarioList read_list(const std::string& path) {
  std::ifstream file{path};
  if (!file) {
    throw base::Error{fmt::format("{}: cannot be read.", base::printable(path))};
  }
  ScenarioList list;
  std::string text;
  for (int line = 1; std::getline(file, text); ++line) {
    const auto start = text.find_first_not_of(" \t\r");
    if (start == std::string::npos || text[start] == '#') {
      continue;
    }
    const auto end = std::min(text.find_first_of(" \t", start), text.size());
    const auto rest = std::min(text.find_first_not_of(" \t", end), text.size());
    take_line(list, path, line, text.substr(start, end - start), text.substr(rest));
  }
  if (list.clips.empty()) {
    throw base::Error{fmt::format("{}: names no clip.", base::printable(path))};
  }
  return list;
}

StageWords words_of(const Clip& clip, const std::string& path) {
  StageWords words;
  CLI::App parser;
  add_stage_options(parser, words);
  try {
    parser.parse(clip.options);
  } catch (const CLI::ParseError& error) {
    refuse(path, clip.line, fmt::format("clip {}: {}", clip.name, error.what()));
  }
  return words;
}

void write_text(const std::filesystem::path& path, const std::string& text) {
  Output file{path.string()};
  (void)file.write(text);
  file.finish();
}

}  // namespace

int render_scenarios(const std::string& list_path, const std::string& directory) {
  const ScenarioList list = read_list(list_path);
  std::error_code error;
  std::filesystem::create_directories(directory, error);
  if (error || !std::filesystem::is_directory(directory)) {
    throw base::Error{fmt::format("--into {}: there is no such directory, and none can be made{}.",
                                  base::printable(directory),
                                  error ? " (" + error.message() + ")" : "")};
  }
  const std::filesystem::path into{directory};
  std::vector<report::StageReport> reports;
  for (const Clip& clip : list.clips) {
    report::StageReport report{clip.name + ".flac", clip.kind, clip.about, {}, {}};
    report.scene = loop::build_scene(to_scene(words_of(clip, list_path)));
    report.render = loop::render(report.scene);
    io::write_sound(
        (into / report.clip).string(), report.scene.stage.sample_rate_hz, report.render.samples);
    reports.push_back(std::move(report));
  }
  write_text(into / "truth.json", report::stage_list_json(reports));
  write_text(into / "MANIFEST.md", list.head + report::stage_manifest(reports));
  return kDone;
}

}  // namespace brink::cli
