#pragma once

#include <cstdint>
#include <functional>
#include <string>

#include "base/background.h"
#include "ear/progress.h"
#include "io/book/book.h"
#include "panel/book/written_file.h"
#include "panel/draw/rect.h"
#include "panel/live/facts.h"
#include "panel/pane.h"

namespace brink::panel {

/// The progress of a trainee, read from the book and written to files.
class EarProgressPage {
 public:
  EarProgressPage(std::string book_path, const io::Book& book, std::function<void()> on_news);

  /// Once a pass: reads anew what has become stale while it is shown. Whoever guessed last is the
  /// trainee as long as none is named.
  void follow(bool is_shown, Context& context);
  void draw(const Rect& area, Context& context);
  void describe(Facts& facts) const;

 private:
  /// What the book knows of a trainee.
  struct Records {
    std::string newest_trainee;  ///< who guessed last
    ear::EarProgress progress;
  };

  void ask_records(const std::string& trainee);
  void offer_files(Context& context);

  std::string book_path_;
  const io::Book& book_;
  std::function<void()> on_news_;
  bool has_asked_ = false;
  base::Background<Records> reading_;
  WrittenFile written_;
  Records records_;
  std::string records_fault_;
  std::uint64_t records_serial_ = 0;  // of the book, when they were asked for
};

}  // namespace brink::panel
