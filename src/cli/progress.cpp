#include "cli/progress.h"

#include <fmt/format.h>

#include <utility>

#include "cli/standard_streams.h"
#include "io/files.h"

namespace brink::cli {
namespace {

constexpr auto kPause = std::chrono::milliseconds(200);  // often enough to see it move
constexpr const char* kEraseLine = "\r\x1b[K";  // ECMA-48: EL, erase to the end of the line

}  // namespace

ProgressLine::ProgressLine(std::string label, bool is_wanted)
    : label_(std::move(label)),
      is_shown_(is_wanted && is_terminal(io::kStderr)),
      next_(std::chrono::steady_clock::now() + kPause) {}

ProgressLine::~ProgressLine() {
  is_shown_ = is_shown_ && io::write_all(io::kStderr, kEraseLine);
}

void ProgressLine::show(double done_ratio) {
  const auto now = std::chrono::steady_clock::now();
  if (!is_shown_ || now < next_) {
    return;
  }
  next_ = now + kPause;
  constexpr std::size_t kMostLabel = 60;  // the line must not wrap, or it cannot be erased
  is_shown_ = io::write_all(
      io::kStderr,
      fmt::format("{}{:3.0f} %  {}", kEraseLine, 100.0 * done_ratio, label_.substr(0, kMostLabel)));
}

}  // namespace brink::cli
