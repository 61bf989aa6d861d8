#pragma once

#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>

#include "base/background.h"
#include "desk/recording_marks.h"
#include "listen/analysis.h"
#include "panel/recording/recording_rings.h"

namespace brink::panel {

/// What the user said of the rings of a recording.
struct RecordingWords {
  std::set<RingKey> left_out;
  std::map<RingKey, std::string> notes;
  std::string note;  ///< on the recording

  /// Empty: none.
  [[nodiscard]] std::string note_on(RingKey ring) const {
    const auto found = notes.find(ring);
    return found == notes.end() ? std::string() : found->second;
  }

  friend bool operator==(const RecordingWords&, const RecordingWords&) = default;
};

/// Finds what was said of the same recording before, and keeps what is said now, on a thread of its
/// own. Only the window's thread may call it.
class RecordingMemory {
 public:
  explicit RecordingMemory(std::string book_path) : book_path_(std::move(book_path)) {}

  /// Another recording, analysed as far as it will be.
  void open(const listen::Analysis& analysis, const std::function<void()>& on_news);

  /// Once a pass: the words of before, in the one pass in which they are found.
  [[nodiscard]] std::optional<RecordingWords> take_found(const listen::Analysis& analysis);

  /// Once a pass: keeps them where they are not kept yet.
  void keep(const RecordingWords& words,
            const listen::Analysis& analysis,
            const std::function<void()>& on_news);

  /// All that was said is on the disk.
  [[nodiscard]] bool is_kept() const noexcept { return is_kept_; }

  /// Why words are not kept, in one sentence; empty: they are.
  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

 private:
  struct Found {
    std::string path;  // of the marks
    desk::RecordingMarks marks;
  };

  std::string book_path_;
  std::string path_;  // of the marks; empty: not known yet
  desk::RecordingMarks kept_;
  bool is_kept_ = true;
  std::string fault_;
  base::Background<Found> finding_;
  base::Background<bool> keeping_;
};

}  // namespace brink::panel
