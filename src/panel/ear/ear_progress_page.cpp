#include "panel/ear/ear_progress_page.h"

#include <filesystem>
#include <utility>
#include <vector>

#include "base/error.h"
#include "io/book/book_reader.h"
#include "io/paths.h"
#include "panel/draw/draw.h"
#include "panel/ear/ear_progress_plot.h"
#include "sheet/sheet.h"

namespace brink::panel {

EarProgressPage::EarProgressPage(std::string book_path,
                                 const io::Book& book,
                                 std::function<void()> on_news)
    : book_path_(std::move(book_path)), book_(book), on_news_(std::move(on_news)) {}

void EarProgressPage::ask_records(const std::string& trainee) {
  records_serial_ = book_.kept();
  reading_.start(
      [path = book_path_, trainee] {
        io::BookReader reader(path);
        const std::vector<show::GuessRecord> guesses = reader.guesses();
        Records records;
        records.newest_trainee = guesses.empty() ? std::string() : guesses.back().trainee;
        records.progress =
            ear::progress_of(guesses, trainee.empty() ? records.newest_trainee : trainee);
        return records;
      },
      on_news_);
}

void EarProgressPage::follow(bool is_shown, Context& context) {
  written_.update();
  try {
    if (auto records = reading_.take()) {
      records_ = std::move(*records);
      records_fault_.clear();
      if (context.view.trainee.empty()) {
        context.view.trainee = records_.newest_trainee;
      }
    }
  } catch (const base::Error& error) {
    records_fault_ = error.what();
  }
  const bool is_stale =
      records_serial_ != book_.kept() || records_.progress.trainee != context.view.trainee;
  const bool is_wanted = !has_asked_ || (is_shown && is_stale && records_fault_.empty());
  if (is_wanted && !reading_.is_busy()) {
    has_asked_ = true;
    ask_records(context.view.trainee);
  }
}

/// The trainee's sheet and every guess, written beside the book.
void EarProgressPage::offer_files(Context& context) {
  const std::string trainee = records_.progress.trainee;
  const auto write = [&](const char* extension, auto make) {
    const auto folder = io::to_path(book_path_).parent_path() / "sheets";
    const std::string stem = file_stem("ear " + trainee);
    written_.start(
        {folder.string(), stem, extension},
        [path = book_path_, trainee, make] {
          return make(io::BookReader(path).guesses(trainee), trainee);
        },
        on_news_);
  };
  if (trainee.empty()) {
    return;
  }
  if (context.actions.offer("S", "write the sheet")) {
    write(".html", [](const auto& guesses, const std::string& name) {
      return sheet::ear_sheet_html(guesses, name);
    });
  }
  if (context.actions.offer("C", "write all guesses as CSV")) {
    write(".csv", [](const auto& guesses, const std::string& name) {
      return ear::guesses_csv(guesses, name);
    });
  }
}

void EarProgressPage::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  offer_files(context);
  Rect rest = area;
  if (!written_.words().empty()) {
    const Rect foot = rest.take_bottom(theme.px(28.0F));
    draw_text(theme.body,
              foot.left,
              foot.top + theme.px(8.0F),
              written_.path().empty() ? colour::kOrange : colour::kText,
              shortened(theme.body, written_.words(), foot.width()));
  }
  draw_ear_progress(rest, records_.progress, records_fault_, context.theme);
}

void EarProgressPage::describe(Facts& facts) const {
  facts.add("written", written_.path());
  facts.add("progress_count", static_cast<double>(records_.progress.all.count));
  facts.add("progress_trainee", records_.progress.trainee);
}

}  // namespace brink::panel
