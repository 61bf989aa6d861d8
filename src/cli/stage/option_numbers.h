#pragma once

#include <fmt/format.h>

#include <map>
#include <span>
#include <string>
#include <vector>

#include "base/biquad.h"
#include "base/error.h"
#include "base/printable.h"

namespace brink::cli {

/// `count` finite numbers between separators. Throws base::Error, "OPTION takes FORM, not 'text'."
[[nodiscard]] std::vector<double> numbers(const std::string& text,
                                          char separator,
                                          std::size_t count,
                                          const char* option,
                                          const char* form);

/// A peaking cut: frequency in Hz, Q and depth in dB. Throws base::Error with the option and its
/// text named.
[[nodiscard]] base::Biquad section_of(std::span<const double> cut,
                                      const char* option,
                                      const std::string& text,
                                      double sample_rate_hz);

/// The value of a word. Throws base::Error with all words named.
template <typename Value>
Value chosen(const std::string& word,
             const std::map<std::string, Value>& choices,
             const char* option) {
  const auto at = choices.find(word);
  if (at != choices.end()) {
    return at->second;
  }
  std::string list;
  for (const auto& [name, value] : choices) {
    list += (list.empty() ? "" : ", ") + name;
  }
  throw base::Error{fmt::format("{} is one of {}; got '{}'.", option, list, base::printable(word))};
}

}  // namespace brink::cli
