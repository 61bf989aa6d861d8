#pragma once

#include <string>
#include <vector>

#include "cuts/target.h"

namespace brink::app {

/// A target that a face offers.
struct ShelfTarget {
  std::string name_or_path;  ///< as target_text() takes it
  cuts::Target target;       ///< meaningless with a fault
  std::string fault;         ///< why a file is none, one sentence; empty: it is one
};

/// Folder of the user's own targets: `targets` beside the settings file; empty where nothing is
/// remembered.
[[nodiscard]] std::string targets_folder(const std::string& settings_path);

/// The targets at hand, then every file in that folder that ends in `.txt`, by name. Never throws:
/// a folder that is not there holds none.
[[nodiscard]] std::vector<ShelfTarget> shelf_targets(const std::string& folder);

/// A target at hand by its name, or of a file, with its name. Throws core::Error when there is
/// neither or the text is no target.
[[nodiscard]] cuts::Target read_target(const std::string& name_or_path);

/// The text that the book keeps of a target, as target_text() makes it of its name or file.
[[nodiscard]] std::string text_of(const cuts::Target& target);

}  // namespace brink::app
