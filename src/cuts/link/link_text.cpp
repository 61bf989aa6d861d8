#include "cuts/link/link_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <map>
#include <string_view>
#include <utility>

#include "cuts/link/linked_target.h"
#include "cuts/link/reach_text.h"
#include "cuts/link/scale_text.h"

namespace brink::cuts {
namespace {

using Kind = LinkPart::Kind;

constexpr double kHighestHz = 100000.0;
constexpr double kHighestQ = 1000.0;
constexpr double kFarthestDb = 200.0;

Link::Answers to_answers(const Entry& entry, Link::Wire wire) {
  if (entry.value == "told") {
    return Link::Answers::kTold;
  }
  if (entry.value == "never") {
    return Link::Answers::kNever;
  }
  if (entry.value != "asked" || wire == Link::Wire::kMidi) {
    entry.refuse(wire == Link::Wire::kMidi
                     ? "must be told or never: a MIDI controller cannot be asked"
                     : fmt::format("must be asked, told or never, not '{}'", entry.value));
  }
  return Link::Answers::kAsked;
}

/// HOST:PORT in form; whether the host is there is asked when the link opens.
void check_console(const Entry& entry, Link::Wire wire) {
  if (entry.value.empty()) {
    entry.refuse(wire == Link::Wire::kOsc ? "needs HOST:PORT" : "needs a part of the port's name");
  }
  if (wire == Link::Wire::kMidi) {
    return;
  }
  const auto colon = entry.value.rfind(':');
  const std::string port = colon == std::string::npos ? "" : entry.value.substr(colon + 1);
  int number = 0;
  const auto [end, error] = std::from_chars(port.data(), port.data() + port.size(), number);
  if (colon == 0 || error != std::errc{} || end != port.data() + port.size() || number < 1 ||
      number > 65535) {
    entry.refuse(fmt::format("needs HOST:PORT with a port from 1 to 65535, not '{}'", entry.value));
  }
}

void take_keep_alive(Taker& taker, Link& link) {
  const auto address = taker.take("keep_alive");
  const auto pause = taker.take("keep_alive_s");
  if (pause && !address) {
    pause->refuse("needs keep_alive, the address that is sent");
  }
  if (!address) {
    return;
  }
  if (link.wire == Link::Wire::kMidi) {
    address->refuse("is for Open Sound Control alone");
  }
  link.keep_alive = plain_address(*address, address->value);
  if (pause) {
    link.keep_alive_s = pause->number_within(0.5, 60.0);
  }
}

Scale take_scale(Taker& taker, const Entry& reach, double low, double high) {
  const std::string field = reach.field + "_scale";
  const auto entry = taker.take(field);
  if (!entry) {
    reach.refuse(fmt::format("needs {}, which says what the console's numbers stand for", field));
  }
  return to_scale(*entry, low, high);
}

/// What MIDI can carry, or 32-bit floating point in whole numbers.
void check_numbers(const Entry& reach, const LinkControl& control, Link::Wire wire) {
  const double low = control.scale.lowest_number();
  const double high = control.scale.highest_number();
  if (wire == Link::Wire::kOsc) {
    constexpr double kHighestWhole = 16777216.0;
    if (control.scale.is_whole() && std::max(-low, high) > kHighestWhole) {
      reach.refuse("has a scale with whole numbers beyond 16777216");
    }
    return;
  }
  const double most = control.fine ? 16383.0 : 127.0;
  if (!control.scale.is_whole() || low < 0.0 || high > most) {
    reach.refuse(
        fmt::format("needs a scale of whole numbers within 0:{} (for instance 'linear "
                    "whole 0:{} is -90:10')",
                    most,
                    most));
  }
}

/// The controls of one field for every band; nothing without the field.
std::vector<LinkControl> take_controls(Taker& taker,
                                       std::string_view field,
                                       Link::Wire wire,
                                       std::size_t count,
                                       double low,
                                       double high) {
  const auto reach = taker.take(field);
  if (!reach) {
    return {};
  }
  std::vector<LinkControl> controls = to_controls(*reach, wire, count);
  const Scale scale = take_scale(taker, *reach, low, high);
  for (LinkControl& control : controls) {
    control.scale = scale;
    control.line = reach->line;
    check_numbers(*reach, control, wire);
  }
  return controls;
}

void take_bands(Taker& taker, const Target& target, Link& link) {
  const auto count = static_cast<std::size_t>(target.bands);
  const bool is_parametric = target.kind == Target::Kind::kParametric;
  const auto take = [&](std::string_view field, double low, double high) {
    return take_controls(taker, field, link.wire, count, low, high);
  };
  const Entry* const any = taker.find_beginning("band_");
  if (any == nullptr) {
    return;
  }
  const Entry first = *any;
  const auto depths = take("band_depth", -kFarthestDb, kFarthestDb);
  if (depths.empty()) {
    first.refuse("needs band_depth beside it");
  }
  std::vector<LinkControl> frequencies;
  std::vector<LinkControl> qs;
  if (is_parametric) {
    frequencies = take("band_frequency", 0.1, kHighestHz);
    qs = take("band_q", 0.01, kHighestQ);
    if (frequencies.empty() || qs.empty()) {
      first.refuse("needs band_frequency, band_q and band_depth together");
    }
  }
  link.bands.resize(count);
  for (std::size_t band = 0; band < count; ++band) {
    link.bands[band].depth = depths[band];
    if (is_parametric) {
      link.bands[band].frequency = frequencies[band];
      link.bands[band].q = qs[band];
    }
  }
}

/// A console number has one meaning: what is meant for a band must never reach a fader.
void refuse_doubles(const Entry& entry, const Link& link) {
  std::map<std::string, std::string> owners;
  const auto claim = [&](const std::string& place, const std::string& owner) {
    const auto [earlier, is_new] = owners.emplace(place, owner);
    if (!is_new) {
      entry.refuse(fmt::format(
          "says {} for {} and for {}; each needs its own", place, earlier->second, owner));
    }
  };
  if (!link.keep_alive.empty()) {
    claim(link.keep_alive, "keep_alive");
  }
  for (const LinkPart& part : parts(link)) {
    const LinkControl& one = control(link, part);
    if (link.wire == Link::Wire::kOsc) {
      claim(one.address, to_words(part));
      continue;
    }
    claim(fmt::format("channel {} controller {}", one.channel, one.controller), to_words(part));
    if (one.fine) {
      claim(fmt::format("channel {} controller {}", one.channel, *one.fine), to_words(part));
    }
  }
}

}  // namespace

std::optional<Link> take_link(Taker& taker, const Target& target) {
  const auto entry = taker.take("link");
  if (!entry) {
    return std::nullopt;
  }
  if (entry->value != "osc" && entry->value != "midi") {
    entry->refuse(fmt::format("must be osc or midi, not '{}'", entry->value));
  }
  Link link;
  link.wire = entry->value == "osc" ? Link::Wire::kOsc : Link::Wire::kMidi;
  const Entry console = taker.need("console");
  check_console(console, link.wire);
  link.console = console.value;
  link.answers = link.wire == Link::Wire::kOsc ? Link::Answers::kAsked : Link::Answers::kNever;
  if (const auto answers = taker.take("answers")) {
    link.answers = to_answers(*answers, link.wire);
  }
  if (const auto port = taker.take("reply_port")) {
    if (link.wire == Link::Wire::kMidi) {
      port->refuse("is for Open Sound Control alone");
    }
    link.reply_port = port->whole_within(1, 65535);
  }
  take_keep_alive(taker, link);
  const auto faders = take_controls(taker, "fader", link.wire, 1, -kFarthestDb, kFarthestDb);
  if (!faders.empty()) {
    link.fader = faders.front();
  }
  take_bands(taker, target, link);
  if (!link.fader && link.bands.empty()) {
    entry->refuse("needs a fader or bands: the fields fader, band_depth and their like");
  }
  refuse_doubles(*entry, link);
  return link;
}

std::optional<LinkedTarget> linked_target(const Target& target) {
  Taker taker(target.source_text, target.name);
  auto link = take_link(taker, target);
  return link ? std::optional(LinkedTarget{target, std::move(*link)}) : std::nullopt;
}

}  // namespace brink::cuts
