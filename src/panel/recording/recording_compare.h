#pragma once

#include <functional>
#include <memory>
#include <string>

#include "listen/analysis.h"
#include "panel/pane.h"
#include "panel/recording/file_chooser.h"
#include "panel/recording/recording_work.h"

namespace brink::panel {

/// The recording shown beside an earlier one: what rang in both, in one alone, and how the places
/// moved, in the words of `brink compare`. A page of its own: choose the earlier one, wait, read.
class RecordingCompare {
 public:
  void open();

  /// Takes the keys.
  [[nodiscard]] bool is_open() const noexcept { return is_open_; }

  /// Another recording is shown: what was compared is not about it.
  void forget();

  /// Once a pass. `now`: the recording shown.
  void follow(const listen::Analysis& now);

  /// Over the pane, while it is open.
  void draw(const Rect& area, Context& context, const listen::Analysis& now);

  void describe(Facts& facts) const;

 private:
  void draw_choice(Rect area, Context& context);
  void draw_waiting(Rect area, Context& context) const;
  void draw_text_page(Rect area, Context& context);

  bool is_open_ = false;
  FileChooser chooser_;
  std::unique_ptr<RecordingWork> work_;  // on the earlier one
  std::string fault_;
  std::string text_;    // empty: nothing is compared yet
  int first_line_ = 0;  // that is shown of it
};

}  // namespace brink::panel
