#include "sheet/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sheet/text.h"
#include "show/gain_won.h"

namespace brink::sheet {
namespace {

/// Longer lists stand in the table only.
constexpr std::size_t kMostSpoken = 8;

std::string number_list(const std::vector<std::size_t>& rounds) {
  std::vector<std::string> items;
  items.reserve(rounds.size());
  for (const std::size_t round : rounds) {
    items.push_back(fmt::format("{}", round + 1));
  }
  return listed(items);
}

std::string all_in(RingState state) {
  switch (state) {
    case RingState::kFaded:
      return " All faded after their cuts.";
    case RingState::kCameBack:
      return " All came back, with the fader higher.";
    case RingState::kNotSeenToFade:
      return " None was seen to fade after its cut.";
    case RingState::kNotCut:
      return " None is cut yet.";
  }
  return {};
}

std::string states_of(const SheetOutput& output) {
  std::string text;
  for (const RingState state : kRingStates) {
    std::vector<std::size_t> rounds;
    for (std::size_t i = 0; i < output.rounds.size(); ++i) {
      if (output.rounds[i].state == state) {
        rounds.push_back(i);
      }
    }
    if (rounds.empty()) {
      continue;
    }
    if (rounds.size() == output.rounds.size() && rounds.size() > 1) {
      return all_in(state);
    }
    text += text.empty() ? " " : "; ";
    text += fmt::format(
        "{}: {}",
        written_state(state),
        rounds.size() <= kMostSpoken ? number_list(rounds) : counted(rounds.size(), "ring"));
  }
  text += ".";
  return text;
}

std::string with_capital(std::string text) {
  const auto first = text.find_first_not_of(' ');
  if (first != std::string::npos && text[first] >= 'a' && text[first] <= 'z') {
    text[first] = static_cast<char>(text[first] - 'a' + 'A');
  }
  return text;
}

std::string one_ring(const SheetOutput& output, std::size_t i) {
  const show::RingRecord& ring = output.record->rounds[i].ring;
  return fmt::format("ring {} at {}, {} dB a second",
                     i + 1,
                     written_hz(ring.frequency_hz),
                     written_number(ring.growth_db_per_s, 0));
}

std::string summed_rings(const SheetOutput& output) {
  std::vector<double> frequencies;
  std::size_t fastest = 0;
  const auto& rounds = output.record->rounds;
  for (std::size_t i = 0; i < rounds.size(); ++i) {
    if (std::isfinite(rounds[i].ring.frequency_hz)) {
      frequencies.push_back(rounds[i].ring.frequency_hz);
    }
    if (rounds[i].ring.growth_db_per_s > rounds[fastest].ring.growth_db_per_s) {
      fastest = i;
    }
  }
  if (frequencies.empty()) {
    return {};
  }
  const auto [low, high] = std::minmax_element(frequencies.begin(), frequencies.end());
  return fmt::format(" from {} to {}, the fastest {}",
                     written_hz(*low),
                     written_hz(*high),
                     one_ring(output, fastest));
}

/// Of an output without rounds: what rang, or up to where nothing did.
std::string untouched_words(const show::OutputRecord& record) {
  if (record.start_at_db) {
    return fmt::format("It rang at {} on the fader; nothing was cut for it.",
                       written_db(record.start_at_db));
  }
  if (record.tried_to_db) {
    return fmt::format("Nothing rang. It was tried up to {} on the fader.",
                       written_db(record.tried_to_db));
  }
  return "Nothing rang. Up to where it was tried is not known.";
}

/// Empty without a calibrated microphone.
std::string pressure_words(const SheetOutput& output) {
  const auto& loudest = output.loudest_round;
  return loudest ? fmt::format(" The loudest second at the microphone was {} (LAeq), in ring {}.",
                               written_db(output.record->rounds[*loudest].ring.laeq_1s_db),
                               *loudest + 1)
                 : std::string();
}

}  // namespace

std::string plain_cut(const SheetCut& cut) {
  if (cut.is_high_pass) {
    return fmt::format("high-pass at {}", written_hz(cut.cut.centre_hz));
  }
  return fmt::format("{} by {} at Q\u00A0{}",
                     cut.place,
                     written_db(-cut.cut.depth_db, cut.depth_decimals),
                     written_q(cut.cut.q));
}

std::string plain_target(const SheetOutput& output) {
  if (!output.target) {
    return "a target that cannot be read, so its steps are left out";
  }
  const cuts::Target& target = *output.target;
  if (target.kind == cuts::Target::Kind::kGraphic) {
    return fmt::format("a graphic of {}{}",
                       counted(static_cast<std::size_t>(target.bands), "band"),
                       target.high_pass_hz.empty() ? "" : " and a high-pass");
  }
  return fmt::format("{}{}",
                     counted(static_cast<std::size_t>(target.bands), "parametric band"),
                     target.high_pass_hz.empty() ? "" : " and a high-pass");
}

std::string plain_cuts(const SheetOutput& output) {
  if (output.cuts.empty()) {
    return "Nothing is cut: the equaliser is flat.";
  }
  std::vector<std::string> items;
  std::string text;
  for (const SheetCut& cut : output.cuts) {
    if (cut.is_high_pass) {
      text += with_capital(plain_cut(cut)) + ". ";
      continue;
    }
    if (items.size() == kMostSpoken && output.cuts.size() > kMostSpoken + 1) {
      items.push_back(fmt::format("{} more in the table", output.cuts.size() - kMostSpoken));
      break;
    }
    items.push_back(plain_cut(cut));
  }
  if (!items.empty()) {
    text += fmt::format("Cut {}.", listed(items));
  }
  if (output.deepest_db < 0.0) {
    text += fmt::format(" Together they go down to {} at {}",
                        written_db(output.deepest_db),
                        written_hz(output.deepest_hz));
  } else {
    text += " They";
  }
  text += fmt::format(
      "{} take {} from the sound, the mean over the third-octaves from 125 Hz to 8 kHz.",
      output.deepest_db < 0.0 ? " and" : "",
      written_db(output.lost_db));
  return text;
}

std::string plain_rings(const SheetOutput& output) {
  const std::size_t count = output.rounds.size();
  if (count == 0) {
    return untouched_words(*output.record);
  }
  std::string text = counted(count, "ring");
  if (count <= kMostSpoken) {
    std::vector<std::string> items;
    for (std::size_t i = 0; i < count; ++i) {
      items.push_back(one_ring(output, i));
    }
    text += ": " + listed(items);
  } else {
    text += summed_rings(output);
  }
  return text + "." + with_capital(states_of(output)) + pressure_words(output);
}

std::string plain_rounds(const SheetOutput& output) {
  const std::size_t count = output.rounds.size();
  if (count == 0) {
    return "No round was done.";
  }
  std::vector<std::string> items;
  std::size_t unknown = 0;
  std::size_t open = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const auto& won = output.rounds[i].won_db;
    if (won && std::isfinite(*won)) {
      items.push_back(fmt::format("round {} won {}", i + 1, written_db(won)));
    } else if (output.rounds[i].state == RingState::kNotCut) {
      ++open;
    } else {
      ++unknown;
    }
  }
  std::string text = fmt::format("{}.", counted(count, "round"));
  if (!items.empty() && items.size() <= kMostSpoken) {
    text += with_capital(fmt::format(" {}.", listed(items)));
  }
  if (unknown > 0) {
    text += fmt::format(" What {} won is not known.", counted(unknown, "round"));
  }
  if (open > 0) {
    text += fmt::format(" Nothing is cut yet in {}.", counted(open, "round"));
  }
  if (output.won_db && std::isfinite(*output.won_db)) {
    text += fmt::format(" Together: {}.", written_change_db(output.won_db));
  }
  return text;
}

std::string plain_margin(const SheetOutput& output) {
  const auto& margin_db = output.record->back_off_db;
  if (!show::has_rung(*output.record)) {
    return "No margin is known, because nothing rang.";
  }
  if (output.record->is_ended && !margin_db) {
    return "No margin was taken.";
  }
  if (!output.record->is_ended || !margin_db) {
    return output.edge_db ? fmt::format(
                                "Still open: no margin was taken. It rings at {} on the "
                                "fader; stay well below.",
                                written_db(output.edge_db))
                          : std::string("Still open: no margin was taken.");
  }
  if (!output.leave_at_db) {
    return fmt::format("Margin left: {}.", written_db(margin_db));
  }
  return fmt::format("Leave the fader at {} or lower: that is {} below {}, where it rings.",
                     written_db(output.leave_at_db),
                     written_db(margin_db),
                     written_db(output.edge_db));
}

}  // namespace brink::sheet
