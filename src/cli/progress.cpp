#include "cli/progress.h"

#include <fmt/format.h>

#include <utility>

#include "base/progress_words.h"
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
      begun_(std::chrono::steady_clock::now()),
      next_(begun_ + kPause) {}

ProgressLine::~ProgressLine() {
  is_shown_ = is_shown_ && io::write_all(io::kStderr, kEraseLine);
}

void ProgressLine::show(double done_ratio) {
  begun_ratio_ = begun_ratio_.value_or(done_ratio);
  const auto now = std::chrono::steady_clock::now();
  if (!is_shown_ || now < next_) {
    return;
  }
  next_ = now + kPause;
  constexpr std::size_t kMostLabel = 50;  // the line must not wrap, or it cannot be erased
  const std::chrono::duration<double> watched = now - begun_;
  is_shown_ =
      io::write_all(io::kStderr,
                    fmt::format("{}{}  {}",
                                kEraseLine,
                                base::progress_words(done_ratio, watched.count(), *begun_ratio_),
                                label_.substr(0, kMostLabel)));
}

}  // namespace brink::cli
