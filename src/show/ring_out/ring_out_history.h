#pragma once

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

namespace brink::show {

/// Undo and redo by whole states. Not more than kMostSteps back.
template <typename State>
class RingOutHistory {
 public:
  static constexpr std::size_t kMostSteps = 500;

  /// `before` an action of that name; what was undone is given up.
  void push(State before, std::string what) {
    redo_.clear();
    if (undo_.size() == kMostSteps) {
      undo_.erase(undo_.begin());
    }
    undo_.push_back({std::move(before), std::move(what)});
  }

  /// False when there is nothing to undo, or to redo.
  bool undo(State& state) { return move(undo_, redo_, state); }

  bool redo(State& state) { return move(redo_, undo_, state); }

  /// Name of the action that undo, or redo, would take; empty when there is none.
  [[nodiscard]] std::string undo_what() const { return undo_.empty() ? "" : undo_.back().what; }

  [[nodiscard]] std::string redo_what() const { return redo_.empty() ? "" : redo_.back().what; }

  void forget_redo() { redo_.clear(); }

  /// Something that was observed holds in every state.
  template <typename Change>
  void amend(const Change& change) {
    for (auto* steps : {&undo_, &redo_}) {
      for (Step& step : *steps) {
        change(step.state);
      }
    }
  }

 private:
  struct Step {
    State state;
    std::string what;
  };

  static bool move(std::vector<Step>& from, std::vector<Step>& to, State& state) {
    if (from.empty()) {
      return false;
    }
    Step step = std::move(from.back());
    from.pop_back();
    to.push_back({std::exchange(state, std::move(step.state)), std::move(step.what)});
    return true;
  }

  std::vector<Step> undo_;
  std::vector<Step> redo_;
};

}  // namespace brink::show
