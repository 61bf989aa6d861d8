#include "cli/stage/stage_list.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <memory>
#include <set>
#include <sstream>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "cli/command.h"
#include "io/text_file.h"
#include "io/whole_file.h"
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
  std::istringstream lines{io::read_text_file(path)};
  ScenarioList list;
  std::string text;
  for (int line = 1; std::getline(lines, text); ++line) {
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
    refuse(path, clip.line, fmt::format("clip {}: {}", clip.name, base::printable(error.what())));
  }
  if (is_matrix(words)) {
    refuse(path,
           clip.line,
           fmt::format("clip {}: a list has stages of one microphone and one output", clip.name));
  }
  return words;
}

void make_directory(const std::string& directory) {
  std::error_code error;
  std::filesystem::create_directories(directory, error);
  if (error || !std::filesystem::is_directory(directory)) {
    throw base::Error{fmt::format("--into {}: there is no such directory, and none can be made{}.",
                                  base::printable(directory),
                                  error ? " (" + error.message() + ")" : "")};
  }
}

/// The outputs of a list: complete before the first of them takes its place.
class ListOutputs {
 public:
  ListOutputs(std::filesystem::path into, io::ReplaceRule rule)
      : into_(std::move(into)), rule_(std::move(rule)) {}

  /// Refused before anything is rendered.
  void check(const std::string& name) const {
    io::check_replaceable((into_ / name).string(), rule_);
  }

  io::WholeFile& add(const std::string& name) {
    return *files_.emplace_back(std::make_unique<io::WholeFile>((into_ / name).string(), rule_));
  }

  void commit() {
    const io::SignalsWait wait;  // all or none
    for (const auto& file : files_) {
      file->commit();
    }
  }

 private:
  std::filesystem::path into_;
  io::ReplaceRule rule_;
  std::vector<std::unique_ptr<io::WholeFile>> files_;
};

void add_text(ListOutputs& outputs, const std::string& name, const std::string& text) {
  io::WholeFile& file = outputs.add(name);
  file.append(text);
  file.seal();
}

constexpr const char* kTruthName = "truth.json";
constexpr const char* kManifestName = "MANIFEST.md";

/// All that the list names as inputs, and what of the output folder may be replaced.
ListOutputs check_list(const ScenarioList& list,
                       const std::string& list_path,
                       const std::string& directory,
                       bool replaces) {
  io::ReplaceRule rule = stage_rule({}, replaces);
  rule.inputs = {list_path};
  std::set<std::string> names;
  for (const Clip& clip : list.clips) {
    const StageWords words = words_of(clip, list_path);
    rule.inputs.insert(rule.inputs.end(), {words.room_file, words.programme});
    if (!names.insert(clip.name).second) {
      refuse(list_path, clip.line, fmt::format("clip {}: is there twice", clip.name));
    }
  }
  ListOutputs outputs{directory, std::move(rule)};
  for (const Clip& clip : list.clips) {
    outputs.check(clip.name + ".flac");
  }
  outputs.check(kTruthName);
  outputs.check(kManifestName);
  return outputs;
}

}  // namespace

io::ReplaceRule stage_rule(const StageWords& words, bool replaces) {
  return {{io::kStageComment,
           R"({"schema":"brink/stage/)",
           "[\n{\"schema\":\"brink/stage/",
           report::kManifestBeginning},
          replaces,
          {words.room_file, words.programme}};
}

int render_scenarios(const std::string& list_path, const std::string& directory, bool replaces) {
  const ScenarioList list = read_list(list_path);
  ListOutputs outputs = check_list(list, list_path, directory, replaces);
  make_directory(directory);
  std::vector<report::StageReport> reports;
  for (const Clip& clip : list.clips) {
    report::StageReport report{clip.name + ".flac", clip.kind, clip.about, {}, {}};
    report.scene = loop::build_scene(to_scene(words_of(clip, list_path)));
    report.render = loop::render(report.scene);
    io::WholeFile& file = outputs.add(report.clip);
    io::write_sound(
        file, report.scene.stage.sample_rate_hz, report.render.samples, io::kStageComment);
    file.seal();
    reports.push_back(std::move(report));
  }
  add_text(outputs, kTruthName, report::stage_list_json(reports));
  add_text(
      outputs,
      kManifestName,
      fmt::format(
          "{}\n\n{}{}", report::kManifestBeginning, list.head, report::stage_manifest(reports)));
  outputs.commit();
  return kDone;
}

}  // namespace brink::cli
