#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace brink::io {

/// The names that an iXML chunk gives to the channels of a sound file (iXML 3, Gallery, 2021:
/// TRACK_LIST, TRACK, INTERLEAVE_INDEX, NAME). One for each of `channels`, empty where it has none.
/// Text that is no such chunk gives none. What a name is made of is not checked.
[[nodiscard]] std::vector<std::string> track_names(std::string_view ixml, std::size_t channels);

}  // namespace brink::io
