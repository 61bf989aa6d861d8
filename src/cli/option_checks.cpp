#include "cli/option_checks.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <charconv>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <type_traits>
#include <vector>

#include "base/printable.h"
#include "io/text_file.h"

namespace brink::cli {
namespace {

constexpr char kBetweenWords = '|';

/// Reads all of the text or nothing. The user's locale does not matter.
template <typename Number>
std::optional<Number> to_number(const std::string& text) {
  const bool has_plus = text.size() > 1 && text[0] == '+' && text[1] != '-';
  const char* const end = text.data() + text.size();
  Number number{};
  const auto [rest, error] = std::from_chars(text.data() + (has_plus ? 1 : 0), end, number);
  return error == std::errc{} && rest == end ? std::optional(number) : std::nullopt;
}

/// Written so that NaN is refused: every comparison with NaN is false.
template <typename Number>
bool is_in(const std::optional<Number>& number, Number lowest, Number highest) {
  return number && *number >= lowest && *number <= highest;
}

}  // namespace

template <typename Number>
CLI::Validator number_in(Number lowest, Number highest) {
  return {[lowest, highest](const std::string& text) {
            constexpr bool kIsWhole = std::is_integral_v<Number>;
            return is_in(to_number<Number>(text), lowest, highest)
                       ? std::string()
                       : fmt::format("'{}' is no {}number from {} to {}",
                                     base::printable(text),
                                     kIsWhole ? "whole " : "",
                                     lowest,
                                     highest);
          },
          ""};
}

template CLI::Validator number_in<double>(double, double);
template CLI::Validator number_in<int>(int, int);

CLI::Validator one_of(const std::vector<std::string>& words) {
  // The parser's own description would be in every help; a name is not, so it carries the words.
  return CLI::IsMember(words).description("").name(
      fmt::format("{}", fmt::join(words, std::string(1, kBetweenWords))));
}

std::vector<std::string> words_of(CLI::Option& option) {
  try {
    const std::string& name = option.get_validator(0)->get_name();
    return name.empty() ? std::vector<std::string>() : CLI::detail::split(name, kBetweenWords);
  } catch (const CLI::OptionNotFound&) {
    return {};
  }
}

CLI::Validator finite_number() {
  return {[](const std::string& text) {
            constexpr double kMost = std::numeric_limits<double>::max();
            return is_in(to_number<double>(text), -kMost, kMost)
                       ? std::string()
                       : fmt::format("'{}' is no finite number", base::printable(text));
          },
          ""};
}

CLI::Validator seed_number() {
  return number_in<std::uint64_t>(0, std::numeric_limits<std::uint64_t>::max());
}

void add_sure(CLI::App& command, double& sure) {
  constexpr double kMost = 0.99;  // asking for 1 is asking for nothing
  command.add_option("--sure", sure, "Flag only what is at least so sure, 0 to 0.99 (0)")
      ->type_name("P")
      ->check(number_in(0.0, kMost));
}

void add_names(CLI::App& command, std::string& path) {
  command
      .add_option(
          "--names",
          path,
          "What the channels are called, and which are outputs: lines as '3 vocal left' and "
          "'17 output wedge 1'")
      ->type_name("FILE")
      ->check(not_empty());
}

show::ChannelNames read_names(const std::string& path) {
  return path.empty() ? show::ChannelNames()
                      : show::ChannelNames::parse(io::read_text_file(path), path);
}

CLI::Validator not_empty() {
  return {[](const std::string& text) {
            return std::string(text.find_first_not_of(" \t") == std::string::npos
                                   ? "it is empty; write what it should be"
                                   : "");
          },
          ""};
}

}  // namespace brink::cli
