#include "panel/recording/recording_out.h"

#include <fmt/format.h>

#include <array>
#include <filesystem>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/book/book_reader.h"
#include "io/paths.h"
#include "panel/draw/choice_rows.h"
#include "panel/draw/draw.h"
#include "panel/overlays.h"
#include "panel/recording/recording_show.h"
#include "report/analysis/analysis_csv.h"
#include "report/analysis/analysis_json.h"
#include "report/analysis/analysis_labels.h"
#include "report/analysis/analysis_svg.h"
#include "report/analysis/analysis_text.h"
#include "sheet/sheet.h"

namespace brink::panel {
namespace {

struct OutRow {
  const char* name;
  const char* remark;
  const char* extension;
  std::string (*make)(const listen::Analysis& analysis);
};

std::string csv(const listen::Analysis& analysis) {
  return report::report_csv_header() + report::report_csv(analysis, false);
}

/// The same texts as the command's, of the whole recording.
constexpr std::array<OutRow, 5> kReports{{
    {"Text",
     "analyse --order danger",
     ".txt",
     [](const listen::Analysis& analysis) {
       return report::report_text(analysis, false, listen::RowOrder::kDanger);
     }},
    {"JSON",
     "analyse --format json",
     ".json",
     [](const listen::Analysis& analysis) { return report::report_json(analysis, false); }},
    {"CSV", "analyse --format csv", ".csv", csv},
    {"Label track",
     "analyse --format labels",
     ".labels.txt",
     [](const listen::Analysis& analysis) { return report::report_labels(analysis, false); }},
    {"Picture", "analyse --format svg", ".svg", report::report_svg},
}};
constexpr int kSheetRow = kReports.size();
constexpr int kBookRow = kSheetRow + 1;
constexpr int kRows = kBookRow + 1;

std::string stem_of(const listen::Analysis& analysis) {
  return file_stem(io::to_path(analysis.file).stem().string());
}

}  // namespace

void RecordingOut::forget() noexcept {
  file_.forget();
  book_words_.clear();
}

void RecordingOut::follow(Context& context) {
  file_.update();
  try {
    if (auto merged = merging_.take()) {
      io::BookAction action;
      const std::string key = merged->key.substr(0, 8);
      action.shows.push_back(std::move(*merged));
      serial_ = context.book.keep(std::move(action));
      book_words_ = fmt::format("Writing show {} ...", key);
    }
  } catch (const base::Error& error) {
    book_words_ = error.what();
  }
  if (serial_ == 0) {
    return;
  }
  if (context.book.kept() >= serial_) {
    book_words_ = fmt::format("Kept in the book: {}, {}", fresh_.venue, fresh_.name);
    serial_ = 0;
  } else if (const auto trouble = context.book.trouble()) {
    book_words_ = *trouble;
  }
}

void RecordingOut::ask_show(const listen::Analysis& analysis,
                            const RecordingWords& words,
                            Context& context) {
  form_.open(
      "Into the book",
      {{"venue", context.settings.now().venue, {}, 0.0, true},
       {"show", io::to_path(analysis.file).stem().string(), {}, 0.0, true}},
      [this, analysis, words, on_news = context.on_news](
          const std::vector<std::string>& texts) -> std::optional<std::string> {
        if (texts[0].empty() || texts[1].empty()) {
          return "A show needs its venue and its name.";
        }
        try {
          fresh_ = recording_show(analysis, words, {texts[0], texts[1], {}, {}});
        } catch (const base::Error& error) {
          return error.what();
        }
        fresh_.key = report::merged_key(texts[0], texts[1]);
        // What is there under this name stays, but for outputs of the same name.
        merging_.start(
            [fresh = fresh_, path = book_path_]() {
              io::BookReader reader(path);
              show::ShowRecord show = reader.show(fresh.key).value_or(fresh);
              report::merge_outputs(show, fresh.outputs);
              return show;
            },
            on_news);
        return std::nullopt;
      },
      [](const std::vector<std::string>&) {
        return std::string("An output for each channel, a round still to be cut for each ring.");
      });
}

void RecordingOut::write(int row,
                         const listen::Analysis& analysis,
                         const RecordingWords& words,
                         Context& context) {
  is_open_ = false;
  forget();
  const auto beside_book = io::to_path(book_path_).parent_path();
  if (row == kBookRow) {
    ask_show(analysis, words, context);
  } else if (row == kSheetRow) {
    const report::MergeConfig config{
        context.settings.now().venue, io::to_path(analysis.file).filename().string(), {}, {}};
    file_.start(
        {(beside_book / "sheets").string(), stem_of(analysis), ".html"},
        [analysis, words, config] {
          return sheet::sheet_html(recording_show(analysis, words, config));
        },
        context.on_news);
  } else {
    const OutRow& report = kReports[static_cast<std::size_t>(row)];
    file_.start(
        {(beside_book / "reports").string(), stem_of(analysis), report.extension},
        [analysis, make = report.make] { return make(analysis); },
        context.on_news);
  }
}

void RecordingOut::draw(const Rect& area,
                        Context& context,
                        const listen::Analysis& analysis,
                        const RecordingWords& words) {
  if (form_.is_open()) {
    form_.draw(area, context);
    return;
  }
  if (context.actions.offer(Key::kEscape, "Esc", "back")) {
    is_open_ = false;
    return;
  }
  const Theme& theme = context.theme;
  bool is_taken = steer_choice(context.actions, kRows, row_);
  Rect rest = area;
  rest.right = std::min(rest.right, rest.left + theme.px(720.0F));
  const Rect head = rest.take_top(theme.px(40.0F));
  draw_text(theme.title, head.left, head.top, colour::kText, "Write out");
  context.actions.show("\u2191\u2193 Enter", "choose");
  for (int row = 0; row < kRows; ++row) {
    const bool is_report = row < kSheetRow;
    const bool is_clicked =
        draw_choice(rest,
                    theme,
                    row == row_,
                    is_report          ? kReports[static_cast<std::size_t>(row)].name
                    : row == kSheetRow ? "Sheet"
                                       : "Into the book",
                    is_report          ? kReports[static_cast<std::size_t>(row)].remark
                    : row == kSheetRow ? "what is ticked, to print"
                                       : "what is ticked, as a show: book merge");
    if (is_clicked) {
      row_ = row;
      is_taken = true;
    }
  }
  rest.take_top(theme.px(14.0F));
  draw_wrapped(theme.body,
               rest.left,
               rest.top,
               rest.width(),
               colour::kQuiet,
               fmt::format("Files go into the folders reports and sheets in {}; none is replaced. "
                           "F12 writes a picture of the window.",
                           base::printable(io::to_path(book_path_).parent_path().string())));
  if (is_taken) {
    write(row_, analysis, words, context);
  }
}

}  // namespace brink::panel
