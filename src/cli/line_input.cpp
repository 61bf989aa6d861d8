#include "cli/line_input.h"

#include <poll.h>
#include <unistd.h>

#include <array>
#include <cerrno>

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
  pollfd file{STDIN_FILENO, POLLIN, 0};
  if (poll(&file, 1, patience_ms) <= 0) {
    return Outcome::kNothingYet;
  }
  std::array<char, 1024> bytes{};
  const ssize_t count = ::read(STDIN_FILENO, bytes.data(), bytes.size());
  if (count > 0 && unread_.size() < kLongestBytes) {
    unread_.append(bytes.data(), static_cast<std::size_t>(count));
  } else if (count > 0) {
    // A line without an end is cut off here.
    const std::string more(bytes.data(), static_cast<std::size_t>(count));
    const std::size_t end = more.find('\n');
    unread_ += end == std::string::npos ? "" : more.substr(end);
  } else if (count == 0 || errno != EINTR) {
    is_at_end_ = true;
  }
  if (take(line)) {
    return Outcome::kLine;
  }
  return is_at_end_ ? Outcome::kEnd : Outcome::kNothingYet;
}

}  // namespace brink::cli
