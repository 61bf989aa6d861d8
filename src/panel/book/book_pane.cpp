#include "panel/book/book_pane.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "base/printable.h"
#include "panel/book/book_list.h"
#include "panel/book/sheet_file.h"
#include "panel/book/visit_words.h"
#include "panel/draw/draw.h"
#include "panel/draw/first_step.h"

namespace brink::panel {
namespace {

constexpr float kListWidth = 420.0F;
constexpr float kSearchHeight = 36.0F;
constexpr float kPadding = 18.0F;
constexpr float kScrollStep = 120.0F;

/// "2026-01-17 18:30", from an ISO 8601 time.
std::string started_words(std::string text) {
  constexpr std::size_t kToTheMinute = 16;
  text.resize(std::min(text.size(), kToTheMinute));
  std::replace(text.begin(), text.end(), 'T', ' ');
  return text;
}

}  // namespace

BookPane::BookPane(const std::string& book_path, const std::function<void()>& on_news)
    : book_path_(book_path), on_news_(on_news), shelf_(book_path, on_news) {}

void BookPane::select(int row) {
  const auto& list = shelf_.list();
  row_ = std::clamp(row, 0, std::max(0, static_cast<int>(list.size()) - 1));
  const std::string key = list.empty() ? std::string() : list[static_cast<std::size_t>(row_)].key;
  if (key != key_) {
    key_ = key;
    output_ = 0;
    sheet_.forget();
  }
}

void BookPane::follow(Context& context) {
  if (context.view.pane != PaneId::kBook) {
    return;  // does not read the book while nobody looks at this pane
  }
  shelf_.want_list(words_, context.book.kept());
  shelf_.want_show(key_);
  shelf_.update();
  sheet_.update();
  if (list_seen_ != shelf_.list_count()) {
    list_seen_ = shelf_.list_count();
    // The selected show stays selected, wherever it is in the list now.
    const auto& list = shelf_.list();
    const auto same = std::find_if(
        list.begin(), list.end(), [this](const io::ShowSummary& show) { return show.key == key_; });
    select(same == list.end() ? 0 : static_cast<int>(same - list.begin()));
  }
}

void BookPane::move(Context& context, int fitting) {
  const Actions& actions = context.actions;
  const int down =
      actions.count_presses(Key::kDown) - actions.count_presses(Key::kUp) +
      fitting * (actions.count_presses(Key::kPageDown) - actions.count_presses(Key::kPageUp));
  if (down != 0) {
    select(row_ + down);
  }
  if (actions.is_pressed(Key::kHome) || actions.is_pressed(Key::kEnd)) {
    select(actions.is_pressed(Key::kHome) ? 0 : static_cast<int>(shelf_.list().size()) - 1);
  }
  context.actions.show("\u2191\u2193", "shows");
}

void BookPane::draw_search(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect row = area;
  const float y = row.top + theme.px(4.0F);
  const std::string count =
      shelf_.is_reading() && list_seen_ == 0
          ? std::string("reading ...")
          : fmt::format("{} show{}", shelf_.list().size(), shelf_.list().size() == 1 ? "" : "s");
  draw_text(theme.body, row.right, y, colour::kQuiet, count, Align::kRight);
  row.take_right(text_width(theme.body, count) + theme.px(12.0F));
  if (search_.is_open()) {
    draw_text(theme.body, row.left, y, colour::kText, "Find");
    row.take_left(theme.px(44.0F));
    const bool is_taken = search_.draw(row, context);
    words_ = is_taken || search_.is_open() ? search_.text() : words_before_;
    return;
  }
  const std::size_t first = context.actions.offered();
  if (context.actions.offer("/", words_.empty() ? "find" : base::printable(words_))) {
    search_.open(U'/', context);
    words_before_ = words_;
  }
  context.actions.draw_apart(first, row, theme.px(26.0F), theme);
}

void BookPane::draw_shows(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  const int fitting =
      book_rows_in({rest.left, rest.top + theme.px(kSearchHeight), rest.right, rest.bottom}, theme);
  if (!search_.is_open()) {
    move(context, fitting);
  }
  draw_search(rest.take_top(theme.px(kSearchHeight)), context);
  const auto& list = shelf_.list();
  first_row_ = first_row_for(first_row_, row_, fitting, static_cast<int>(list.size()));
  if (const auto row = draw_book_list(rest, list, first_row_, row_, context.actions, theme)) {
    select(*row);
  }
  if (!shelf_.fault().empty()) {
    draw_wrapped(theme.body, rest.left, rest.top, rest.width(), colour::kOrange, shelf_.fault());
  } else if (list.empty() && list_seen_ > 0) {
    draw_wrapped(theme.body,
                 rest.left,
                 rest.top,
                 rest.width(),
                 colour::kQuiet,
                 words_.empty() ? "The book has no show yet: the first output rung out begins one."
                                : "No show has all these words.");
  }
}

std::vector<std::string> BookPane::compared_words() const {
  if (!compares_ || !shelf_.visit_before()) {
    return {};
  }
  const show::ShowRecord& before = *shelf_.visit_before();
  std::vector<std::string> words =
      visit_words(before, *shelf_.show(), shelf_.show()->outputs.at(output_).name);
  words.insert(words.begin(),
               fmt::format("Compared with {}{}{}:",
                           base::printable(started_words(before.started_at)),
                           before.name.empty() ? "" : ", ",
                           base::printable(before.name)));
  return words;
}

void BookPane::offer_more(Context& context) {
  const show::ShowRecord& show = *shelf_.show();
  const char* const compare = compares_ ? "rounds" : "compare with the visit before";
  if (shelf_.visit_before() && context.actions.offer("C", compare)) {
    compares_ = !compares_;
  }
  if (context.actions.offer("S", "write the sheet")) {
    write_sheet(sheet_, book_path_, show, on_news_);
  }
}

/// Prepares the page once for each show, output and comparison.
void BookPane::open_page() {
  const show::ShowRecord& show = *shelf_.show();
  output_ = std::min(output_, show.outputs.size() - 1);
  const std::vector<std::string> compared = compared_words();
  if (page_key_ == show.key && page_output_ == output_ && page_show_ == show &&
      page_compared_ == compared) {
    return;
  }
  page_key_ = show.key;
  page_output_ = output_;
  page_show_ = show;
  page_compared_ = compared;
  page_.open(show, output_, compared);
  scroll_ = 0.0F;
}

void BookPane::draw_show(Rect area, Context& context) {
  const Theme& theme = context.theme;
  draw_card(area, theme);
  area = area.inset(theme.px(kPadding));
  const bool is_there = shelf_.show() && shelf_.show()->key == key_;
  const bool is_empty = shelf_.list().empty() && words_.empty() && list_seen_ > 0;
  if (!is_there && is_empty) {
    draw_first_step(area, "2", "rings an output out: that begins the book.", area.height(), theme);
    return;
  }
  if (!is_there) {
    draw_text(theme.body,
              area.left,
              area.top,
              colour::kQuiet,
              key_.empty() ? "No show is selected." : "Reading ...");
    return;
  }
  const show::ShowRecord& show = *shelf_.show();
  const Rect head = area.take_top(theme.px(30.0F));
  const std::string venue =
      shortened(theme.title, base::printable(show.venue), 0.6F * head.width());
  const float width = draw_text(theme.title, head.left, head.top, colour::kText, venue);
  const float beside = head.left + width + theme.px(14.0F);
  const std::string when =
      base::printable(started_words(show.started_at) + (show.name.empty() ? "" : ", ") + show.name);
  draw_text(theme.body,
            beside,
            head.top + theme.px(6.0F),
            colour::kQuiet,
            shortened(theme.body, when, head.right - beside));
  if (show.outputs.empty()) {
    draw_text(theme.body, area.left, area.top, colour::kQuiet, "No output was rung out.");
    return;
  }
  if (show.outputs.size() > 1) {
    const int right =
        context.actions.count_presses(Key::kRight) - context.actions.count_presses(Key::kLeft);
    const int last = static_cast<int>(show.outputs.size()) - 1;
    output_ = static_cast<std::size_t>(std::clamp(static_cast<int>(output_) + right, 0, last));
    context.actions.show("\u2190\u2192", "outputs");
  }
  offer_more(context);
  open_page();
  if (!sheet_.words().empty()) {
    const Rect foot = area.take_bottom(theme.px(44.0F));
    draw_wrapped(theme.body,
                 foot.left,
                 foot.top + theme.px(6.0F),
                 foot.width(),
                 sheet_.path().empty() ? colour::kOrange : colour::kText,
                 sheet_.words());
  }
  const bool scrolls = page_height_ > area.height();
  const int steps = static_cast<int>(context.actions.is_pressed(U'.')) -
                    static_cast<int>(context.actions.is_pressed(U','));
  if (scrolls) {
    context.actions.show(", .", "up and down the page");
  }
  scroll_ = std::clamp(scroll_ + theme.px(kScrollStep) * static_cast<float>(steps),
                       0.0F,
                       std::max(0.0F, page_height_ - area.height()));
  page_height_ = page_.draw(area, scroll_, theme);
}

void BookPane::draw(const Rect& area, Context& context) {
  const Theme& theme = context.theme;
  Rect rest = area;
  const Rect list = rest.take_left(std::min(theme.px(kListWidth), 0.40F * area.width()));
  rest.take_left(theme.px(12.0F));
  draw_shows(list, context);
  draw_show(rest, context);
}

void BookPane::describe(Facts& facts) const {
  facts.add("shows", static_cast<double>(shelf_.list().size()));
  facts.add("words", words_);
  facts.add("searched", shelf_.list_words());
  facts.add("is_reading", shelf_.is_reading());
  facts.add("fault", shelf_.fault());
  facts.add("row", static_cast<double>(row_));
  facts.add("key", key_);
  const bool is_there = shelf_.show() && shelf_.show()->key == key_;
  facts.add("shown", is_there ? shelf_.show()->key : std::string());
  if (is_there && !shelf_.show()->outputs.empty()) {
    const show::ShowRecord& show = *shelf_.show();
    const show::OutputRecord& output = show.outputs[std::min(output_, show.outputs.size() - 1)];
    facts.add("venue", show.venue);
    facts.add("show", show.name);
    facts.add("outputs", static_cast<double>(show.outputs.size()));
    facts.add("output", output.name);
    facts.add("rounds", static_cast<double>(output.rounds.size()));
    facts.add("last_round", output.rounds.empty() ? "" : outcome_words(output.rounds.back()));
    facts.add("compares", compares_ && shelf_.visit_before().has_value());
    facts.add("sheet", sheet_.path());
    facts.add("cuts", static_cast<double>(output.cuts.size()));
    facts.add("visit_before", shelf_.visit_before() ? shelf_.visit_before()->key : std::string());
  }
}

}  // namespace brink::panel
