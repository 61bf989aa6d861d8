#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/background.h"
#include "io/book/book_reader.h"

namespace brink::panel {

/// Reads the book for a window, on its own thread. It asks one question at a time, and the newest
/// wish comes first. Only the window's thread may call it.
class BookShelf {
 public:
  BookShelf(const std::string& path, std::function<void()> on_news);

  /// Asks for the shows that have all these words. Asks again when something was kept since; `kept`
  /// counts that.
  void want_list(const std::string& words, std::uint64_t kept);
  /// Asks for one whole show and the venue's visit before it. Empty: no show.
  void want_show(const std::string& key);
  /// Takes what was read and asks for what is still wanted. Call it once a pass.
  void update();

  /// The list as last read. `list_words` are the words of its search.
  [[nodiscard]] const std::vector<io::ShowSummary>& list() const noexcept { return list_; }

  [[nodiscard]] const std::string& list_words() const noexcept { return list_words_; }

  /// Rises with each list that is read.
  [[nodiscard]] int list_count() const noexcept { return list_count_; }

  [[nodiscard]] const std::optional<show::ShowRecord>& show() const noexcept { return show_; }

  [[nodiscard]] const std::optional<show::ShowRecord>& visit_before() const noexcept {
    return visit_before_;
  }

  [[nodiscard]] bool is_reading() const noexcept { return asked_.is_busy(); }

  /// One sentence when the book cannot be read; otherwise empty.
  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

 private:
  struct Question {
    std::string words;
    std::uint64_t kept = 0;
    std::string key;

    friend bool operator==(const Question&, const Question&) = default;
  };

  struct Answer {
    Question question;
    std::optional<std::vector<io::ShowSummary>> list;  // nothing: the list has not changed
    std::optional<show::ShowRecord> show;
    std::optional<show::ShowRecord> visit_before;
  };

  static Answer read(io::BookReader& reader, const Question& question, bool wants_list);

  std::shared_ptr<io::BookReader> reader_;
  std::function<void()> on_news_;
  Question wanted_;
  std::optional<Question> answered_;
  base::Background<Answer> asked_;
  std::vector<io::ShowSummary> list_;
  std::string list_words_;
  int list_count_ = 0;
  std::optional<show::ShowRecord> show_;
  std::optional<show::ShowRecord> visit_before_;
  std::string fault_;
};

}  // namespace brink::panel
