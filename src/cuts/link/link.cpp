#include "cuts/link/link.h"

#include <fmt/format.h>

namespace brink::cuts {

std::vector<LinkPart> parts(const Link& link) {
  std::vector<LinkPart> all;
  if (link.fader) {
    all.push_back({LinkPart::Kind::kFader, 0});
  }
  for (std::size_t band = 0; band < link.bands.size(); ++band) {
    if (link.bands[band].frequency) {
      all.push_back({LinkPart::Kind::kFrequency, band});
    }
    if (link.bands[band].q) {
      all.push_back({LinkPart::Kind::kQ, band});
    }
    if (link.bands[band].depth) {
      all.push_back({LinkPart::Kind::kDepth, band});
    }
  }
  return all;
}

const LinkControl& control(const Link& link, const LinkPart& part) {
  switch (part.kind) {
    case LinkPart::Kind::kFader:
      return link.fader.value();
    case LinkPart::Kind::kFrequency:
      return link.bands.at(part.band).frequency.value();
    case LinkPart::Kind::kQ:
      return link.bands.at(part.band).q.value();
    default:
      return link.bands.at(part.band).depth.value();
  }
}

std::string to_words(const LinkPart& part) {
  switch (part.kind) {
    case LinkPart::Kind::kFader:
      return "fader";
    case LinkPart::Kind::kFrequency:
      return fmt::format("band {} frequency", part.band + 1);
    case LinkPart::Kind::kQ:
      return fmt::format("band {} Q", part.band + 1);
    default:
      return fmt::format("band {} depth", part.band + 1);
  }
}

std::string to_words(const LinkControl& control) {
  if (!control.address.empty()) {
    return control.address;
  }
  return fmt::format("channel {} controller {}{}",
                     control.channel,
                     control.controller,
                     control.fine ? fmt::format(" fine {}", *control.fine) : "");
}

}  // namespace brink::cuts
