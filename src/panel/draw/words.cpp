#include "panel/draw/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "show/band_changes.h"
#include "show/cut_words.h"

namespace brink::panel {

std::string cut_words(std::span<const cuts::Cut> cuts, cuts::Target::Kind kind) {
  if (cuts.empty()) {
    return kNoCutHelps;
  }
  std::string words;
  for (const cuts::Cut& cut : cuts) {
    words += (words.empty() ? "cut " : "  and ") + show::cut_words(cuts::to_band(cut), kind);
  }
  return words;
}

std::string fader_words(double fader_db) {
  return fmt::format("{:+.3g} dB", fader_db);
}

ProposalWords proposal_words(const show::Proposal& proposal,
                             std::span<const cuts::Band> before,
                             cuts::Target::Kind kind) {
  if (proposal.kind == show::Proposal::Kind::kCannot) {
    return {kNoCutHelps, proposal.sentence, {}};
  }
  const auto changes = show::band_changes(before, proposal.cuts);
  ProposalWords words;
  words.about = proposal.sentence;
  if (changes.size() <= 1) {
    const cuts::Band& cut = proposal.cut();
    words.cut = (cuts::is_high_pass(cut) ? "" : "cut ") + show::cut_words(cut, kind);
    return words;
  }
  words.cut = fmt::format("sets {} bands", changes.size());
  for (const show::BandChange& change : changes) {
    words.bands.push_back(show::change_words(change, kind));
  }
  return words;
}

std::string came_back_words(const std::optional<double>& won_db) {
  return won_db ? fmt::format("came back {:.1f} dB later", *won_db) : "came back";
}

std::string place_words(double seconds) {
  const long tenths = std::lround(std::max(seconds, 0.0) * 10.0);
  const long minutes = tenths / 600;
  const std::string rest = fmt::format("{:02}.{}", tenths / 10 % 60, tenths % 10);
  return minutes < 60 ? fmt::format("{}:{}", minutes, rest)
                      : fmt::format("{}:{:02}:{}", minutes / 60, minutes % 60, rest);
}

std::string band_name(int band) {
  const std::string name = base::third_octave_name(band);
  const std::string number = name.substr(0, name.find(' '));
  return name.ends_with("kHz") ? number + "k" : number;
}

std::string clock_words(double seconds) {
  const auto whole = static_cast<long>(seconds);
  return fmt::format("{:02}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

}  // namespace brink::panel
