#include "cuts/link/reach_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <optional>

namespace brink::cuts {
namespace {

constexpr int kHighestController = 119;  // from 120 on they are modes of the whole channel

std::optional<int> to_whole(std::string_view text) {
  int number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  const bool is_one = error == std::errc{} && end == text.data() + text.size() && number >= 0;
  return is_one ? std::optional(number) : std::nullopt;
}

int whole_within(
    const Entry& entry, std::string_view what, std::string_view text, int low, int high) {
  const auto number = to_whole(text);
  if (!number || *number < low || *number > high) {
    entry.refuse(fmt::format("needs a {} from {} to {}, not '{}'", what, low, high, text));
  }
  return *number;
}

/// "<FIRST>" or "<FIRST+STEP>" becomes the number of the band that many after the first, with as
/// many digits as FIRST has.
std::string with_number(const Entry& entry, std::string_view text, std::size_t band) {
  std::string made;
  while (!text.empty()) {
    const auto open = std::min(text.find('<'), text.size());
    made += text.substr(0, open);
    text.remove_prefix(open);
    if (text.empty()) {
      break;
    }
    const auto close = text.find('>');
    const std::string_view inside =
        close == std::string_view::npos ? "" : text.substr(1, close - 1);
    const auto plus = std::min(inside.find('+'), inside.size());
    const auto first = to_whole(inside.substr(0, plus));
    const auto step = plus == inside.size() ? std::optional(1) : to_whole(inside.substr(plus + 1));
    constexpr int kMost = 10000;
    if (!first || !step || *first > kMost || *step > kMost) {
      entry.refuse(fmt::format(
          "needs the first band's number between angle brackets, as in <1> or <20+3>, not '{}'",
          entry.value));
    }
    made += fmt::format("{:0{}}", *first + *step * static_cast<int>(band), plus);
    text.remove_prefix(close + 1);
  }
  return made;
}

std::vector<std::string_view> split_list(std::string_view text) {
  std::vector<std::string_view> items;
  while (true) {
    const auto comma = text.find(',');
    items.push_back(trim(text.substr(0, comma)));
    if (comma == std::string_view::npos) {
      return items;
    }
    text.remove_prefix(comma + 1);
  }
}

/// "channel 1 controller 20", with "fine 52" after it where a second one has the lower bits.
LinkControl to_midi_control(const Entry& entry, const std::string& text) {
  std::vector<std::string_view> words;
  for (std::string_view rest = trim(text); !rest.empty(); rest = trim(rest)) {
    const auto end = std::min(rest.find_first_of(" \t"), rest.size());
    words.push_back(rest.substr(0, end));
    rest.remove_prefix(end);
  }
  const bool has_fine = words.size() == 6 && words[4] == "fine";
  if ((words.size() != 4 && !has_fine) || words[0] != "channel" || words[2] != "controller") {
    entry.refuse(fmt::format(
        "needs 'channel 1 controller 20', or that with 'fine 52' after it, not '{}'", text));
  }
  LinkControl control;
  control.channel = whole_within(entry, "channel", words[1], 1, 16);
  control.controller = whole_within(entry, "controller", words[3], 1, kHighestController);
  if (has_fine) {
    control.fine = whole_within(entry, "fine controller", words[5], 1, kHighestController);
  }
  return control;
}

}  // namespace

std::string plain_address(const Entry& entry, std::string_view text) {
  constexpr std::size_t kLongest = 255;
  const bool has_others = std::any_of(text.begin(), text.end(), [](char one) {
    return one <= ' ' || one > '~' ||
           std::string_view("#*,?[]{}<>").find(one) != std::string_view::npos;
  });
  if (text.size() < 2 || text.size() > kLongest || text.front() != '/' || has_others) {
    entry.refuse(
        fmt::format("needs an address that begins with a slash and has neither blanks nor "
                    "any of #*,?[]{{}}, not '{}'",
                    text));
  }
  return std::string(text);
}

std::vector<LinkControl> to_controls(const Entry& entry, Link::Wire wire, std::size_t count) {
  const std::vector<std::string_view> items = split_list(entry.value);
  const bool is_pattern = entry.value.find('<') != std::string::npos;
  if (is_pattern ? items.size() != 1 : items.size() != count) {
    entry.refuse(count == 1 ? "needs one place"
                            : fmt::format("needs one place with the first band's number between "
                                          "angle brackets, as in <1>, or {} places with commas "
                                          "between, one for each band",
                                          count));
  }
  std::vector<LinkControl> controls;
  for (std::size_t band = 0; band < count; ++band) {
    const std::string text = with_number(entry, is_pattern ? items.front() : items[band], band);
    LinkControl control;
    if (wire == Link::Wire::kOsc) {
      control.address = plain_address(entry, text);
    } else {
      control = to_midi_control(entry, text);
    }
    controls.push_back(std::move(control));
  }
  return controls;
}

}  // namespace brink::cuts
