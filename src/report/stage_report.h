#pragma once

#include <string>
#include <vector>

#include "loop/scene.h"

namespace brink::report {

/// A rendered stage, as its reports describe it.
struct StageReport {
  std::string clip;   ///< name of the sound file; empty when none was written
  std::string kind;   ///< what the clip is for, in a few words; may be empty
  std::string about;  ///< {"schema":"brink/stage/1",...} on one line: the truth about the clip.
  loop::Scene scene;
  loop::Render render;
};

/// The truths of several clips as one JSON array, one line for each.
[[nodiscard]] std::string stage_json(const StageReport& report);

/// Several clips' truths as one JSON array, one line each.
[[nodiscard]] std::string stage_list_json(const std::vector<StageReport>& reports);

/// The same for people.
[[nodiscard]] std::string stage_text(const StageReport& report);

/// A table of several clips in Markdown.
/// How the file around that table begins, by which `brink stage` knows it again.
inline constexpr const char* kManifestBeginning = "<!-- brink stage -->";
[[nodiscard]] std::string stage_manifest(const std::vector<StageReport>& reports);

}  // namespace brink::report
