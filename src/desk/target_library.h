#pragma once

#include <string>
#include <vector>

#include "cuts/target.h"

namespace brink::desk {

/// A target at hand by its name, or that of a file of the form told in docs/targets.md, named after
/// the file where it gives itself no name. Its source_text is what the book keeps of it. Throws
/// base::Error when there is neither or the text is no target.
[[nodiscard]] cuts::Target load_target(const std::string& name_or_path);

/// A target that a face offers.
struct ShelfTarget {
  std::string name_or_path;  ///< as load_target() takes it
  cuts::Target target;       ///< meaningless with a fault
  std::string fault;         ///< why a file is none, one sentence; empty: it is one
};

/// Folder of the user's own targets: `targets` beside the settings file; empty where nothing is
/// remembered.
[[nodiscard]] std::string targets_folder(const std::string& settings_path);

/// The targets at hand, then every file in that folder that ends in `.txt`, in the order of their
/// file names. A name that stands on the shelf already is a fault. A folder that is not there holds
/// none.
[[nodiscard]] std::vector<ShelfTarget> shelf_targets(const std::string& folder);

}  // namespace brink::desk
