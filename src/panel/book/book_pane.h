#pragma once

#include <string>
#include <vector>

#include "panel/book/book_page.h"
#include "panel/book/book_shelf.h"
#include "panel/book/written_file.h"
#include "panel/draw/text_field.h"
#include "panel/pane.h"

namespace brink::panel {

/// The shows in the book: search, read, compare with the last visit, write as a sheet.
class BookPane final : public Pane {
 public:
  BookPane(const std::string& book_path, const std::function<void()>& on_news);

  [[nodiscard]] const char* title() const noexcept override { return "Book"; }

  void follow(Context& context) override;
  void draw(const Rect& area, Context& context) override;
  void describe(Facts& facts) const override;

 private:
  void move(Context& context, int fitting);
  void select(int row);
  void open_page();
  void draw_search(const Rect& area, Context& context);
  void draw_shows(const Rect& area, Context& context);
  void draw_show(Rect area, Context& context);

  [[nodiscard]] std::vector<std::string> compared_words() const;
  void offer_more(Context& context);

  std::string book_path_;
  std::function<void()> on_news_;
  BookShelf shelf_;
  WrittenFile sheet_;
  bool compares_ = false;
  TextField search_;
  std::string words_;         // words of the present search
  std::string words_before_;  // words of the search before, in case this one is given up
  std::string key_;           // of the selected show
  int row_ = 0;
  int first_row_ = 0;
  int list_seen_ = 0;
  std::size_t output_ = 0;
  std::string page_key_;
  std::size_t page_output_ = 0;
  std::vector<std::string> page_compared_;
  show::ShowRecord page_show_;
  BookPage page_;
  float scroll_ = 0.0F;
  float page_height_ = 0.0F;
};

}  // namespace brink::panel
