#pragma once

#include <string>
#include <vector>

namespace brink::desk {

/// What the user said of one place of a recording. The place is known by its loudest ring.
struct RecordingMark {
  int channel = 1;            ///< from 1
  double frequency_hz = 0.0;  ///< of that ring
  double onset_s = 0.0;       ///< of that ring
  bool is_left_out = false;   ///< no cut is for it
  std::string note;

  friend bool operator==(const RecordingMark&, const RecordingMark&) = default;
};

/// What is kept of a recording that was worked through; text is UTF-8.
struct RecordingMarks {
  std::string note;  ///< on the recording
  std::vector<RecordingMark> marks;

  friend bool operator==(const RecordingMarks&, const RecordingMarks&) = default;
};

/// By what a recording is known again, whatever its name and folder: 16 hexadecimal digits, from
/// its length and 64 pieces of it evenly spread. Throws base::Error when the file cannot be read.
/// Source of the hash: FNV-1a, 64 bits (draft-eastlake-fnv).
[[nodiscard]] std::string recording_fingerprint(const std::string& path);

/// The file for it: in the folder `recordings` beside the book, never beside the recording.
[[nodiscard]] std::string marks_path(const std::string& book_path, const std::string& fingerprint);

/// Nothing marked when there is no such file. Throws base::Error with one sentence when the file is
/// there and is no marks file.
[[nodiscard]] RecordingMarks load_marks(const std::string& path);

/// Whole or not at all; makes the folder when it is missing. Throws base::Error with one sentence,
/// also when the file there is none of brink's.
void save_marks(const std::string& path, const RecordingMarks& marks);

}  // namespace brink::desk
