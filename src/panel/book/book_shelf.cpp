#include "panel/book/book_shelf.h"

#include <algorithm>
#include <utility>

#include "base/error.h"

namespace brink::panel {
namespace {

/// The newest visit to the same venue before that show. Nothing when there is none.
std::optional<show::ShowRecord> find_visit_before(io::BookReader& reader,
                                                  const show::ShowRecord& show) {
  io::ShowFilter filter;
  filter.venue = show.venue;
  const std::vector<io::ShowSummary> visits = reader.shows(filter);  // newest first
  const auto here = std::find_if(visits.begin(), visits.end(), [&](const io::ShowSummary& visit) {
    return visit.key == show.key;
  });
  if (here == visits.end() || here + 1 == visits.end()) {
    return std::nullopt;
  }
  return reader.show((here + 1)->key);
}

}  // namespace

BookShelf::BookShelf(const std::string& path, std::function<void()> on_news)
    : reader_(std::make_shared<io::BookReader>(path)), on_news_(std::move(on_news)) {}

void BookShelf::want_list(const std::string& words, std::uint64_t kept) {
  wanted_.words = words;
  wanted_.kept = kept;
}

void BookShelf::want_show(const std::string& key) {
  wanted_.key = key;
}

BookShelf::Answer BookShelf::read(io::BookReader& reader,
                                  const Question& question,
                                  bool wants_list) {
  Answer answer;
  answer.question = question;
  if (wants_list) {
    io::ShowFilter filter;
    filter.text = question.words;
    answer.list = reader.shows(filter);
  }
  if (!question.key.empty()) {
    answer.show = reader.show(question.key);
  }
  if (answer.show) {
    answer.visit_before = find_visit_before(reader, *answer.show);
  }
  return answer;
}

void BookShelf::update() {
  try {
    if (auto answer = asked_.take()) {
      fault_.clear();
      if (answer->list) {
        list_ = std::move(*answer->list);
        list_words_ = answer->question.words;
        ++list_count_;
      }
      show_ = std::move(answer->show);
      visit_before_ = std::move(answer->visit_before);
    }
  } catch (const base::Error& error) {
    fault_ = error.what();
  }
  if (asked_.is_busy() || answered_ == wanted_) {
    return;
  }
  const bool wants_list =
      !answered_ || answered_->words != wanted_.words || answered_->kept != wanted_.kept;
  answered_ = wanted_;
  asked_.start(
      [reader = reader_, question = wanted_, wants_list] {
        return read(*reader, question, wants_list);
      },
      on_news_);
}

}  // namespace brink::panel
