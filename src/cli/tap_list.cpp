#include "cli/tap_list.h"

#include <fmt/format.h>

#include <charconv>
#include <numeric>
#include <set>
#include <sstream>

#include "base/error.h"
#include "base/printable.h"
#include "io/sound_file.h"

namespace brink::cli {
namespace {

/// Gives 0 if the text is no channel number.
int to_channel(const std::string& text) {
  int channel = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, channel);
  const bool is_one =
      error == std::errc() && stop == end && channel >= 1 && channel <= io::kMostChannels;
  return is_one ? channel : 0;
}

}  // namespace

std::vector<int> to_taps(const std::string& list) {
  std::set<int> taps;
  std::istringstream items(list);
  std::string item;
  bool is_good = list.empty() || list.back() != ',';
  while (is_good && std::getline(items, item, ',')) {
    const std::size_t dash = item.find('-');
    const int first = to_channel(item.substr(0, dash));
    const int last = dash == std::string::npos ? first : to_channel(item.substr(dash + 1));
    is_good = first > 0 && last >= first;
    for (int tap = first; is_good && tap <= last; ++tap) {
      taps.insert(tap);
    }
  }
  if (!is_good) {
    throw base::Error(fmt::format("--taps takes channel numbers from 1 to {}, as 1,3-5, not '{}'.",
                                  io::kMostChannels,
                                  base::printable(list)));
  }
  return {taps.begin(), taps.end()};
}

std::vector<int> first_taps(int count) {
  std::vector<int> taps(static_cast<std::size_t>(count));
  std::iota(taps.begin(), taps.end(), 1);
  return taps;
}

}  // namespace brink::cli
