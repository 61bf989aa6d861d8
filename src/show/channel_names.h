#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "taps/ring_shares.h"

namespace brink::show {

/// What the channels of a console are called, and which of them are outputs. As text, one line for
/// each channel: its number, the word `output` for the tap of an output, and the name. `#` starts a
/// comment.
///   3 vocal left
///   17 output wedge 1
class ChannelNames {
 public:
  static constexpr int kMostChannel = 64;
  static constexpr std::size_t kMostLetters = 60;  // bytes of a name

  /// Throws base::Error with `origin` and the line named.
  [[nodiscard]] static ChannelNames parse(std::string_view text, const std::string& origin);
  /// What parse() reads.
  [[nodiscard]] std::string text() const;

  /// Empty when it has none.
  [[nodiscard]] std::string name(int channel) const;
  /// What stands of a channel behind its number: "output wedge 1". Empty when it has none.
  [[nodiscard]] std::string description(int channel) const;
  /// Takes that; empty: the channel has no name any more. Throws base::Error when it is too long.
  void describe(int channel, std::string_view description);
  /// The same for a channel that has no description yet, as a recorder wrote it: a long one is cut.
  void suggest(int channel, std::string_view description);
  /// Channels that are outputs, rising.
  [[nodiscard]] std::vector<int> outputs() const;

  [[nodiscard]] bool is_empty() const noexcept { return entries_.empty(); }

  /// The highest that has a name or is an output; 0 when there is none.
  [[nodiscard]] int last_channel() const noexcept {
    return entries_.empty() ? 0 : entries_.rbegin()->first;
  }

  /// "channel 3 (vocal left)", "channel 3".
  [[nodiscard]] std::string words(int channel) const;

  friend bool operator==(const ChannelNames&, const ChannelNames&) = default;

 private:
  struct Entry {
    std::string name;
    bool is_output = false;

    friend bool operator==(const Entry&, const Entry&) = default;
  };

  bool take(int channel, std::string_view description);

  std::map<int, Entry> entries_;
};

/// Where a ring is: "channel 3 (vocal left), also in 5 and 8"; without shares the channel alone.
[[nodiscard]] std::string where_words(int channel,
                                      const taps::RingShares& shares,
                                      const ChannelNames& names);

/// The microphone named first, as a record keeps it: "vocal left", "channel 3"; with a known output
/// "vocal left through wedge 1". Empty with one tap, where the user alone knows it.
[[nodiscard]] std::string microphone_words(int channel,
                                           const taps::RingShares& shares,
                                           const ChannelNames& names,
                                           bool with_output);

/// What to do first: "lower channel 3 or cut there, not in the whole output". Where no microphone
/// has most of it: "cut in the output: no microphone has most of it". Empty without shares of
/// several microphones.
[[nodiscard]] std::string first_move_words(const taps::RingShares& shares,
                                           const ChannelNames& names);

/// What is wrong with a tap, one sentence without a full stop; empty when all is well.
[[nodiscard]] std::string tap_fault_words(
    int channel, const ChannelNames& names, bool is_silent, bool is_clipping, int copy_of);

}  // namespace brink::show
