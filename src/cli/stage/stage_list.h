#pragma once

#include <string>

#include "cli/stage/stage_options.h"
#include "io/replace_rule.h"

namespace brink::cli {

/// Renders every clip of a ScenarioList's text into a directory: one FLAC each, their truths in
/// truth.json and a table in MANIFEST.md. Returns an ExitStatus; throws base::Error with the line
/// named. Nothing is written before all of it is rendered. `replaces`: the user's --replace.
[[nodiscard]] int render_scenarios(const std::string& list_path,
                                   const std::string& directory,
                                   bool replaces);

/// What the outputs of `brink stage` may take the place of.
[[nodiscard]] io::ReplaceRule stage_rule(const StageWords& words, bool replaces);

}  // namespace brink::cli
