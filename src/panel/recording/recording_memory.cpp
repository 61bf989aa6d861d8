#include "panel/recording/recording_memory.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/error.h"
#include "base/units.h"

namespace brink::panel {
namespace {

/// The ring that a mark was set at. A newer brink may place it a little otherwise.
std::optional<RingKey> find_ring(const desk::RecordingMark& mark,
                                 const listen::Analysis& analysis) {
  constexpr double kNearS = 0.25;
  constexpr double kNearCents = 10.0;
  const auto found =
      std::find_if(analysis.rings.begin(), analysis.rings.end(), [&](const listen::FoundRing& one) {
        return one.channel == mark.channel && mark.frequency_hz > 0.0 &&
               std::abs(analysis.to_s(one.ring.onset_sample) - mark.onset_s) < kNearS &&
               std::abs(base::cents_between(one.ring.frequency_hz, mark.frequency_hz)) < kNearCents;
      });
  return found == analysis.rings.end() ? std::nullopt
                                       : std::optional(RingKey{found->channel, found->ring.id});
}

desk::RecordingMarks to_marks(const RecordingWords& words, const listen::Analysis& analysis) {
  desk::RecordingMarks marks{words.note, {}};
  for (const listen::FoundRing& found : analysis.rings) {
    const RingKey key{found.channel, found.ring.id};
    const auto note = words.notes.find(key);
    const bool is_left_out = words.left_out.contains(key);
    if (is_left_out || note != words.notes.end()) {
      marks.marks.push_back({found.channel,
                             found.ring.frequency_hz,
                             analysis.to_s(found.ring.onset_sample),
                             is_left_out,
                             note == words.notes.end() ? std::string() : note->second});
    }
  }
  return marks;
}

}  // namespace

void RecordingMemory::open(const listen::Analysis& analysis, const std::function<void()>& on_news) {
  path_.clear();
  fault_.clear();
  kept_ = {};
  is_kept_ = true;
  finding_.start(
      [file = analysis.file, book = book_path_] {
        const std::string path = desk::marks_path(book, desk::recording_fingerprint(file));
        return Found{path, desk::load_marks(path)};
      },
      on_news);
}

std::optional<RecordingWords> RecordingMemory::take_found(const listen::Analysis& analysis) {
  try {
    auto found = finding_.take();
    if (!found) {
      return std::nullopt;
    }
    path_ = std::move(found->path);
    RecordingWords words;
    words.note = found->marks.note;
    for (const desk::RecordingMark& mark : found->marks.marks) {
      const auto key = find_ring(mark, analysis);
      if (key && mark.is_left_out) {
        words.left_out.insert(*key);
      }
      if (key && !mark.note.empty()) {
        words.notes[*key] = mark.note;
      }
    }
    kept_ = to_marks(words, analysis);
    return words;
  } catch (const base::Error& error) {
    fault_ = error.what();
    return std::nullopt;
  }
}

void RecordingMemory::keep(const RecordingWords& words,
                           const listen::Analysis& analysis,
                           const std::function<void()>& on_news) {
  try {
    if (keeping_.take()) {
      fault_.clear();
      is_kept_ = true;
    }
  } catch (const base::Error& error) {
    fault_ = error.what();
  }
  if (path_.empty() || keeping_.is_busy()) {
    return;
  }
  desk::RecordingMarks marks = to_marks(words, analysis);
  if (marks == kept_) {
    return;
  }
  kept_ = marks;
  is_kept_ = false;
  keeping_.start(
      [path = path_, marks = std::move(marks)] {
        desk::save_marks(path, marks);
        return true;
      },
      on_news);
}

}  // namespace brink::panel
