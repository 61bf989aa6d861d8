#include "cli/line_input.h"

#include <array>

namespace brink::cli {

bool LineInput::take(std::string& line) {
  const std::size_t end = unread_.find('\n');
  if (end == std::string::npos && (!is_at_end_ || unread_.empty())) {
    return false;
  }
  line = unread_.substr(0, end);
  unread_.erase(0, end == std::string::npos ? end : end + 1);
  if (!line.empty() && line.back() == '\r') {
    line.pop_back();
  }
  ++count_;
  return true;
}

LineInput::Outcome LineInput::next(std::string& line, int patience_ms) {
  if (take(line)) {
    return Outcome::kLine;
  }
  if (is_at_end_) {
    return Outcome::kEnd;
  }
  std::array<char, 1024> bytes{};
  std::size_t count = 0;
  is_at_end_ =
      input_.read(bytes.data(), bytes.size(), patience_ms, count) == io::WaitedInput::Outcome::kEnd;
  if (unread_.size() < kLongestBytes) {
    unread_.append(bytes.data(), count);
  } else {
    // A line without an end is cut off here.
    const std::string more(bytes.data(), count);
    const std::size_t end = more.find('\n');
    unread_ += end == std::string::npos ? "" : more.substr(end);
  }
  if (take(line)) {
    return Outcome::kLine;
  }
  return is_at_end_ ? Outcome::kEnd : Outcome::kNothingYet;
}

}  // namespace brink::cli
