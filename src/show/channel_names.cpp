#include "show/channel_names.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

#include "base/error.h"
#include "base/printable.h"

namespace brink::show {
namespace {

constexpr std::string_view kSpaces = " \t\r";
constexpr std::string_view kOutputWord = "output";

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(kSpaces);
  if (first == std::string_view::npos) {
    return {};
  }
  return text.substr(first, text.find_last_not_of(kSpaces) - first + 1);
}

/// Takes the first word off the text.
std::string_view take_word(std::string_view& text) {
  const auto end = std::min(text.find_first_of(kSpaces), text.size());
  const std::string_view word = text.substr(0, end);
  text = trimmed(text.substr(end));
  return word;
}

[[noreturn]] void refuse(const std::string& origin, int line, const std::string& why) {
  throw base::Error(fmt::format("{}, line {}: {}.", base::printable(origin), line, why));
}

std::string too_long() {
  return fmt::format("a name has at most {} letters", ChannelNames::kMostLetters);
}

std::string list_words(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    text += i == 0 ? "" : i + 1 == items.size() ? " and " : ", ";
    text += items[i];
  }
  return text;
}

std::string short_words(int channel, const ChannelNames& names) {
  const std::string name = names.name(channel);
  return name.empty() ? names.words(channel) : name;
}

/// "through wedge 1"; empty where no output has most of it.
std::string output_words(const taps::RingShares& shares, const ChannelNames& names) {
  return shares.knows_sends && shares.output_share >= 0.5F
             ? "through " + short_words(shares.output, names)
             : std::string();
}

}  // namespace

/// False: it is too long.
bool ChannelNames::take(int channel, std::string_view description) {
  Entry entry;
  std::string_view name = description;
  if (take_word(name) == kOutputWord) {
    entry.is_output = true;
  } else {
    name = description;
  }
  if (name.size() > kMostLetters) {
    return false;
  }
  entry.name = base::printable(std::string(name));
  entries_[channel] = std::move(entry);
  return true;
}

ChannelNames ChannelNames::parse(std::string_view text, const std::string& origin) {
  ChannelNames names;
  int line = 0;
  while (!text.empty()) {
    const auto end = std::min(text.find('\n'), text.size());
    std::string_view rest = trimmed(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
    ++line;
    if (rest.empty() || rest.front() == '#') {
      continue;
    }
    const std::string_view number = take_word(rest);
    int channel = 0;
    const auto [after, error] =
        std::from_chars(number.data(), number.data() + number.size(), channel);
    if (error != std::errc{} || after != number.data() + number.size() || channel < 1 ||
        channel > kMostChannel) {
      refuse(origin,
             line,
             fmt::format("a line begins with the number of a channel, 1 to {}", kMostChannel));
    }
    if (names.entries_.contains(channel)) {
      refuse(origin, line, fmt::format("channel {} is there twice", channel));
    }
    names.entries_[channel] = {};
    if (!names.take(channel, rest)) {
      refuse(origin, line, too_long());
    }
  }
  return names;
}

std::string ChannelNames::text() const {
  std::string text;
  for (const auto& [channel, entry] : entries_) {
    const std::string behind = description(channel);
    text += fmt::format("{}{}{}\n", channel, behind.empty() ? "" : " ", behind);
  }
  return text;
}

std::string ChannelNames::description(int channel) const {
  const auto found = entries_.find(channel);
  if (found == entries_.end()) {
    return {};
  }
  const Entry& entry = found->second;
  return fmt::format("{}{}{}",
                     entry.is_output ? kOutputWord : "",
                     entry.is_output && !entry.name.empty() ? " " : "",
                     entry.name);
}

void ChannelNames::describe(int channel, std::string_view description) {
  const std::string_view words = trimmed(description);
  if (words.empty()) {
    entries_.erase(channel);
  } else if (!take(channel, words)) {
    throw base::Error(too_long());
  }
}

std::string ChannelNames::name(int channel) const {
  const auto entry = entries_.find(channel);
  return entry == entries_.end() ? std::string() : entry->second.name;
}

void ChannelNames::suggest(int channel, std::string_view description) {
  constexpr unsigned kKind = 0xC0U;  // of a byte of UTF-8
  constexpr unsigned kGoesOn = 0x80U;
  if (entries_.contains(channel)) {
    return;
  }
  std::string_view words = trimmed(description);
  if (words.size() > kMostLetters) {
    std::size_t end = kMostLetters;
    while (end > 0 && (static_cast<unsigned char>(words[end]) & kKind) == kGoesOn) {
      --end;  // a character stays whole
    }
    words = words.substr(0, end);
  }
  describe(channel, words);
}

std::vector<int> ChannelNames::outputs() const {
  std::vector<int> outputs;
  for (const auto& [channel, entry] : entries_) {
    if (entry.is_output) {
      outputs.push_back(channel);
    }
  }
  return outputs;
}

std::string ChannelNames::words(int channel) const {
  const std::string own = name(channel);
  return own.empty() ? fmt::format("channel {}", channel)
                     : fmt::format("channel {} ({})", channel, own);
}

std::string where_words(int channel, const taps::RingShares& shares, const ChannelNames& names) {
  std::string text = names.words(channel);
  std::vector<std::string> others;
  for (const taps::TapPart& part : shares.all()) {
    if (part.channel != channel && part.share >= taps::RingShares::kWorthSaying) {
      others.push_back(std::to_string(part.channel));
    }
  }
  if (!others.empty()) {
    text += ", also in " + list_words(others);
  }
  const std::string output = output_words(shares, names);
  return output.empty() ? text : text + ", " + output;
}

std::string microphone_words(int channel,
                             const taps::RingShares& shares,
                             const ChannelNames& names,
                             bool with_output) {
  if (shares.count == 0) {
    return {};
  }
  const std::string output = with_output ? output_words(shares, names) : std::string();
  return short_words(channel, names) + (output.empty() ? "" : " " + output);
}

std::string first_move_words(const taps::RingShares& shares, const ChannelNames& names) {
  constexpr float kMostOfIt = 0.5F;
  if (shares.count < 2) {
    return {};
  }
  const taps::TapPart& first = shares.parts.front();
  return first.share >= kMostOfIt ? fmt::format("lower {} or cut there, not in the whole output",
                                                names.words(first.channel))
                                  : "cut in the output: no microphone has most of it";
}

std::string tap_fault_words(
    int channel, const ChannelNames& names, bool is_silent, bool is_clipping, int copy_of) {
  if (is_silent) {
    return names.words(channel) + " is dead: nothing but zeros";
  }
  if (copy_of != 0) {
    return fmt::format(
        "{} carries the same sound as {}", names.words(channel), names.words(copy_of));
  }
  return is_clipping ? names.words(channel) + " is clipped" : std::string();
}

}  // namespace brink::show
