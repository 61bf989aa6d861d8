#include "io/live/joins.h"

#include <algorithm>
#include <sstream>
#include <utility>

namespace brink::io {
namespace {

/// A client that ends takes its joins away a moment before its ports. After so many looks with the
/// port still there, a hand did it. A look comes about every 20 ms.
constexpr int kLooksOfAHand = 15;

bool contains(const std::vector<Join>& joins, const Join& join) {
  return std::find(joins.begin(), joins.end(), join) != joins.end();
}

}  // namespace

std::string to_lines(const std::vector<Join>& joins) {
  std::string lines;
  for (const Join& join : joins) {
    lines += std::to_string(join.channel) + '\t' + join.source + '\n';
  }
  return lines;
}

std::vector<Join> joins_from_lines(const std::string& lines) {
  std::vector<Join> joins;
  std::istringstream stream(lines);
  Join join;
  while (stream >> join.channel && stream.get() == '\t' && std::getline(stream, join.source)) {
    joins.push_back(join);
  }
  return joins;
}

WantedJoins::WantedJoins(std::vector<Join> remembered) : replaces_first_(true) {
  for (Join& join : remembered) {
    // It counts as left, so that it is made as soon as its port is there.
    states_.push_back({.join = std::move(join), .has_left = true});
  }
}

bool WantedJoins::is_joined() const noexcept {
  const auto is_there = [](const State& state) { return state.is_there; };
  const auto has_left = [](const State& state) { return state.has_left; };
  return std::any_of(states_.begin(), states_.end(), is_there) ||
         std::none_of(states_.begin(), states_.end(), has_left);
}

std::vector<Join> WantedJoins::all() const {
  std::vector<Join> joins;
  for (const State& state : states_) {
    joins.push_back(state.join);
  }
  return joins;
}

WantedJoins::Work WantedJoins::judge(const std::vector<Join>& joined,
                                     const std::vector<bool>& are_there) {
  Work work;
  for (std::size_t i = 0; i < states_.size(); ++i) {
    State& state = states_[i];
    state.is_there = contains(joined, state.join);
    if (state.is_there) {
      state.has_left = false;
      state.open_looks = 0;
    } else if (!are_there[i]) {
      state.has_left = true;
    } else if (state.has_left) {
      work.make.push_back(state.join);
    } else {
      ++state.open_looks;
    }
  }
  std::erase_if(states_, [](const State& state) { return state.open_looks > kLooksOfAHand; });
  const bool replaces = std::exchange(replaces_first_, false);
  for (const Join& join : joined) {
    if (contains(all(), join)) {
      continue;
    }
    if (replaces) {
      work.undo.push_back(join);
    } else {
      states_.push_back({.join = join, .is_there = true});
    }
  }
  return work;
}

}  // namespace brink::io
