#include "io/track_names.h"

#include <pugixml.hpp>

namespace brink::io {

std::vector<std::string> track_names(std::string_view ixml, std::size_t channels) {
  std::vector<std::string> names(channels);
  pugi::xml_document document;
  // A chunk is often padded with zeros.
  const std::string_view text = ixml.substr(0, ixml.find_last_not_of('\0') + 1);
  if (!document.load_buffer(text.data(), text.size())) {
    return names;
  }
  const pugi::xml_node tracks = document.child("BWFXML").child("TRACK_LIST");
  for (const pugi::xml_node track : tracks.children("TRACK")) {
    const auto index = track.child("INTERLEAVE_INDEX").text().as_uint();
    if (index >= 1 && index <= channels) {
      names[index - 1] = track.child("NAME").text().as_string();
    }
  }
  return names;
}

}  // namespace brink::io
