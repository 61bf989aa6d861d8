#pragma once

#include <string>
#include <vector>

namespace brink::io {

/// What an output may take the place of. The one rule for every file that brink writes: a file that
/// is there is replaced when it is empty, when it is known as an earlier output of the same
/// command, or when the user said so; a book, a recording that no `brink stage` rendered, and what
/// the command itself reads are never replaced. docs/outputs.md tells it to the user.
struct ReplaceRule {
  /// How the command's own outputs begin, byte for byte: a JSON schema, a CSV's head line. Of a
  /// sound file the comment in its header counts instead.
  std::vector<std::string> own_beginnings;
  /// The user's word (--replace) for a file that is not known.
  bool replaces_others = false;
  /// The files that the command reads, its book among them; "-" is standard input. They are known
  /// by device and inode, whatever they are called.
  std::vector<std::string> inputs;
};

/// Throws base::Error with one sentence when an output at `path` would break the rule, or cannot be
/// written there: a directory, a read-only file, a name that is too long. Links are followed. A
/// device or a pipe holds nothing that can be lost and passes. [any]
void check_replaceable(const std::string& path, const ReplaceRule& rule);

}  // namespace brink::io
