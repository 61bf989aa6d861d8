#pragma once

#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace brink::panel {

/// What a pane says of itself in the state file: names and values, in order.
class Facts {
 public:
  using Value = std::variant<bool, double, std::string>;

  void add(std::string name, Value value) { all_.emplace_back(std::move(name), std::move(value)); }

  [[nodiscard]] const std::vector<std::pair<std::string, Value>>& all() const noexcept {
    return all_;
  }

 private:
  std::vector<std::pair<std::string, Value>> all_;
};

}  // namespace brink::panel
