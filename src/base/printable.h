#pragma once

#include <string>
#include <string_view>

namespace brink::base {

/// Text from a file or a name as one line of a message. What could steer a terminal or turn the
/// order of what is read becomes '?': control characters (also those of 0x80 to 0x9F, as characters
/// and as single bytes), line and paragraph separators, and format characters such as the
/// bidirectional controls, save the two joiners that some scripts need. Everything else, whatever
/// its encoding, stays as it is. [any]
[[nodiscard]] std::string printable(std::string_view name);

/// The same for several lines: ends of lines and tabs stay.
[[nodiscard]] std::string printable_lines(std::string_view text);

}  // namespace brink::base
