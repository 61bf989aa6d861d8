#pragma once

#include <string>
#include <vector>

#include "loop/matrix/matrix_scene.h"
#include "loop/scene.h"

namespace brink::report {

/// A rendered stage, as its reports describe it.
struct StageReport {
  std::string clip;   ///< name of the sound file; empty when none was written
  std::string kind;   ///< what the clip is for, in a few words; may be empty
  std::string about;  ///< the story of the clip; may be empty
  loop::Scene scene;
  loop::Render render;
};

/// {"schema":"brink/stage/1",...} on one line: the truth about the clip.
[[nodiscard]] std::string stage_json(const StageReport& report);

/// Several clips' truths as one JSON array, one line each.
[[nodiscard]] std::string stage_list_json(const std::vector<StageReport>& reports);

/// The same for people.
[[nodiscard]] std::string stage_text(const StageReport& report);

/// A rendered stage of several microphones.
struct MatrixStageReport {
  std::string clip;  ///< name of the sound file; empty when none was written
  loop::MatrixScene scene;
  loop::MatrixRender render;
};

/// A ring of it that can be heard on at least one tap.
struct MatrixRing {
  const loop::MatrixNearBrink* near = nullptr;
  loop::RingLabel label;          ///< on the tap where it is loudest, heard from the earliest
  std::vector<std::size_t> taps;  ///< on which it is heard, from 0
};

/// Loudest first; valid while the report is.
[[nodiscard]] std::vector<MatrixRing> matrix_rings(const MatrixStageReport& report);

/// {"schema":"brink/stage/1",...} with `microphones`, `outputs`, and shares for each ring.
[[nodiscard]] std::string stage_json(const MatrixStageReport& report);
[[nodiscard]] std::string stage_text(const MatrixStageReport& report);

/// A table of several clips in Markdown.
/// How the file around that table begins, by which `brink stage` knows it again.
inline constexpr const char* kManifestBeginning = "<!-- brink stage -->";
[[nodiscard]] std::string stage_manifest(const std::vector<StageReport>& reports);

}  // namespace brink::report
