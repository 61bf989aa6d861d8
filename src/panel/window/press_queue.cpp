#include "panel/window/press_queue.h"

#include <algorithm>

namespace brink::panel {
namespace {

bool may_end_text(const Press& press) noexcept {
  return press.key == Key::kEnter || press.key == Key::kEscape || press.key == Key::kDelete;
}

bool is_same_key(const Press& a, const Press& b) noexcept {
  return a.key == b.key && a.character == b.character;
}

}  // namespace

std::vector<Press> PressQueue::take(const std::vector<Press>& fresh,
                                    bool is_typing,
                                    bool is_field_behind) {
  waiting_.insert(waiting_.end(), fresh.begin(), fresh.end());
  if (waiting_.empty()) {
    return {};
  }
  auto end = is_typing ? std::find_if(waiting_.begin(), waiting_.end(), may_end_text)
                       : std::find_if(waiting_.begin(), waiting_.end(), [&](const Press& press) {
                           return !is_same_key(press, waiting_.front());
                         });
  if (is_typing && !is_field_behind && end != waiting_.end()) {
    ++end;
  }
  std::vector<Press> now(waiting_.begin(), end);
  waiting_.erase(waiting_.begin(), end);
  return now;
}

}  // namespace brink::panel
