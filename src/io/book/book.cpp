#include "io/book/book.h"

#include <utility>

#include "base/error.h"
#include "io/book/book_writer.h"
#include "io/user_folders.h"

namespace brink::io {

std::string default_book_path() {
  const std::string folder = data_folder();
  if (folder.empty()) {
    throw base::Error("no place for the book: neither XDG_DATA_HOME nor HOME is set; say --book.");
  }
  return folder + "/brink/book.sqlite";
}

Book::Book(const std::string& path) : writer_(std::make_unique<BookWriter>(path)) {}

Book::~Book() = default;

std::uint64_t Book::keep(show::ShowRecord show) {
  BookAction action;
  action.shows.push_back(std::move(show));
  action.is_live = true;
  return writer_->keep(std::move(action));
}

std::uint64_t Book::keep(show::GuessRecord guess) {
  BookAction action;
  action.guesses.push_back(std::move(guess));
  return writer_->keep(std::move(action));
}

std::uint64_t Book::keep(BookAction action) {
  return writer_->keep(std::move(action));
}

std::uint64_t Book::kept() const noexcept {
  return writer_->kept();
}

std::optional<std::string> Book::trouble() const {
  return writer_->trouble();
}

std::size_t Book::waiting() const {
  return writer_->waiting();
}

bool Book::wait_for(std::uint64_t serial, double patience_s) const {
  return writer_->wait_for(serial, patience_s);
}

bool Book::drop_waiting() {
  return writer_->drop_waiting();
}

}  // namespace brink::io
