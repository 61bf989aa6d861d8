#pragma once

#include <string>
#include <vector>

#include "cli/stage/stage_options.h"

namespace brink::cli {

/// One clip of a list.
struct ScenarioClip {
  int line = 0;  ///< where it begins, from 1
  std::string name;
  std::string kind;
  std::string about;
  std::string options;
};

/// The list is plain text. `#` starts a comment; a clip is four lines, each a word and the rest:
///   clip NAME            letters, digits, underscore
///   kind WORDS           what it is for
///   about SENTENCE       the story
///   options OPTIONS...   as for brink stage
/// Lines before the first clip that begin with `title` or `text` go to the head of MANIFEST.md.
struct ScenarioList {
  std::string head;  ///< Markdown
  std::vector<ScenarioClip> clips;
};

/// At least one clip. Messages call the text `name`. Throws base::Error that names the line.
[[nodiscard]] ScenarioList parse_scenarios(const std::string& text, const std::string& name);

/// A clip's options. Throws the same.
[[nodiscard]] StageWords words_of(const ScenarioClip& clip, const std::string& name);

}  // namespace brink::cli
