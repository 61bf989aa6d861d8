#include "cli/stage/stage_list.h"

#include <fmt/format.h>

#include <filesystem>
#include <memory>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "cli/command.h"
#include "cli/stage/scenario_list.h"
#include "io/paths.h"
#include "io/text_file.h"
#include "io/whole_file.h"
#include "io/whole_sound.h"
#include "report/stage_report.h"

namespace brink::cli {
namespace {

void make_directory(const std::string& directory) {
  std::error_code error;
  const std::filesystem::path path = io::to_path(directory);
  std::filesystem::create_directories(path, error);
  if (error || !std::filesystem::is_directory(path)) {
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
    io::check_replaceable((into_ / io::to_path(name)).string(), rule_);
  }

  io::WholeFile& add(const std::string& name) {
    return *files_.emplace_back(
        std::make_unique<io::WholeFile>((into_ / io::to_path(name)).string(), rule_));
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
  for (const ScenarioClip& clip : list.clips) {
    const StageWords words = words_of(clip, list_path);
    rule.inputs.insert(rule.inputs.end(), {words.room_file, words.programme});
  }
  ListOutputs outputs{directory, std::move(rule)};
  for (const ScenarioClip& clip : list.clips) {
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
  const ScenarioList list = parse_scenarios(io::read_text_file(list_path), list_path);
  ListOutputs outputs = check_list(list, list_path, directory, replaces);
  make_directory(directory);
  std::vector<report::StageReport> reports;
  for (const ScenarioClip& clip : list.clips) {
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
