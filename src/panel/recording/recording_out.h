#pragma once

#include <functional>
#include <optional>
#include <string>

#include "base/background.h"
#include "panel/book/written_file.h"
#include "panel/draw/text_form.h"
#include "panel/pane.h"
#include "panel/recording/recording_memory.h"

namespace brink::panel {

/// Where a recording goes from the pane: a report, a sheet, or the book.
class RecordingOut {
 public:
  explicit RecordingOut(std::string book_path) : book_path_(std::move(book_path)) {}

  /// The list of what can be written.
  void open() noexcept { is_open_ = true; }

  /// Takes the keys: the list, or a form.
  [[nodiscard]] bool is_open() const noexcept { return is_open_ || form_.is_open(); }

  /// Once a pass.
  void follow(Context& context);

  /// Over the pane, while it is open.
  void draw(const Rect& area,
            Context& context,
            const listen::Analysis& analysis,
            const RecordingWords& words);

  /// Where it is, or why not; empty: nothing to say.
  [[nodiscard]] const std::string& words() const noexcept {
    return book_words_.empty() ? file_.words() : book_words_;
  }

  [[nodiscard]] const std::string& path() const noexcept { return file_.path(); }

  void forget() noexcept;

 private:
  void write(int row,
             const listen::Analysis& analysis,
             const RecordingWords& words,
             Context& context);
  void ask_show(const listen::Analysis& analysis, const RecordingWords& words, Context& context);

  std::string book_path_;
  bool is_open_ = false;
  int row_ = 0;
  TextForm form_;
  WrittenFile file_;
  std::string book_words_;
  std::uint64_t serial_ = 0;  // of the action that is being kept; 0: none
  show::ShowRecord fresh_;    // to be merged with what is there
  base::Background<show::ShowRecord> merging_;
};

}  // namespace brink::panel
