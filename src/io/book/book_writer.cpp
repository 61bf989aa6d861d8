#include "io/book/book_writer.h"

#include <SQLiteCpp/Exception.h>
#include <SQLiteCpp/Transaction.h>
#include <fmt/format.h>

#include <filesystem>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/book/book_guesses.h"
#include "io/book/book_shows.h"
#include "io/paths.h"

namespace brink::io {
namespace {

using std::chrono::milliseconds;

constexpr milliseconds kRetry{1000};
constexpr milliseconds kLastRetries{100};  ///< between tries once it must end
constexpr milliseconds kFirstTry{500};
constexpr milliseconds kFarewell{2000};
/// Nothing was kept for so long: what is in the log then goes into the book's file.
constexpr milliseconds kIdle{3000};

/// Whether the newer action leaves nothing of the older one.
bool replaces(const BookAction& newer, const BookAction& older) {
  const auto is_one_show = [](const BookAction& action) {
    return action.shows.size() == 1 && action.guesses.empty() && action.erased_shows.empty();
  };
  return is_one_show(newer) && is_one_show(older) && newer.shows[0].key == older.shows[0].key &&
         newer.is_live == older.is_live;
}

void make_folder(const std::string& path) {
  const auto folder = to_path(path).parent_path();
  if (folder.empty()) {
    return;
  }
  std::error_code fault;
  if (std::filesystem::create_directories(folder, fault)) {
    // What is rung out where, and who guessed how well, is the user's own.
    std::filesystem::permissions(folder, std::filesystem::perms::owner_all, fault);
  }
  if (fault) {
    throw base::Error(fmt::format("{}: its folder cannot be made ({}); choose another book.",
                                  base::printable(path),
                                  fault.message()));
  }
}

}  // namespace

BookWriter::BookWriter(std::string path) : path_(std::move(path)), thread_([this] { run(); }) {
  std::unique_lock lock(mutex_);
  changed_.wait_for(lock, kFirstTry, [this] { return was_tried_; });
}

BookWriter::~BookWriter() {
  {
    const std::scoped_lock lock(mutex_);
    end_ = Clock::now() + kFarewell;
  }
  changed_.notify_all();
  thread_.join();
}

std::uint64_t BookWriter::keep(BookAction action) {
  std::uint64_t serial = 0;
  {
    const std::scoped_lock lock(mutex_);
    serial = ++given_;
    const bool is_last_free = waiting_.size() > (is_writing_ ? 1U : 0U);
    if (is_last_free && replaces(action, waiting_.back().action)) {
      waiting_.back() = {serial, std::move(action)};
    } else {
      waiting_.push_back({serial, std::move(action)});
    }
  }
  changed_.notify_all();
  return serial;
}

std::optional<std::string> BookWriter::trouble() const {
  const std::scoped_lock lock(mutex_);
  return trouble_;
}

std::size_t BookWriter::waiting() const {
  const std::scoped_lock lock(mutex_);
  return given_ - kept_.load();
}

bool BookWriter::wait_for(std::uint64_t serial, double patience_s) const {
  std::unique_lock lock(mutex_);
  changed_.wait_for(lock, std::chrono::duration<double>(patience_s), [this, serial] {
    return kept_.load() >= serial || trouble_.has_value();
  });
  return kept_.load() >= serial;
}

bool BookWriter::drop_waiting() {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return !is_writing_; });
  const bool had_none = waiting_.empty();
  waiting_.clear();
  return had_none;
}

void BookWriter::run() {
  while (true) {
    std::optional<std::string> trouble = work();
    std::unique_lock lock(mutex_);
    was_tried_ = true;
    trouble_ = std::move(trouble);
    changed_.notify_all();
    if (is_over(Clock::now())) {
      break;
    }
    rest(lock);
  }
  // SQLite does this when the last connection closes, but not when a reader outlives this one.
  if (connection_) {
    (void)connection_->empty_log();
  }
}

bool BookWriter::is_over(Clock::time_point now) const {
  return end_ && (waiting_.empty() || now >= *end_);
}

/// Until there is something to do.
void BookWriter::rest(std::unique_lock<std::mutex>& lock) {
  const auto is_called = [this] { return end_ || !waiting_.empty(); };
  if (!trouble_) {
    bool is_log_empty = false;
    while (!is_log_empty && !changed_.wait_for(lock, kIdle, is_called)) {
      lock.unlock();
      is_log_empty = !connection_ || connection_->empty_log();
      lock.lock();
    }
    changed_.wait(lock, is_called);
  } else if (end_) {
    changed_.wait_for(lock, kLastRetries);
  } else {
    changed_.wait_for(lock, kRetry, [this] { return end_.has_value(); });
  }
}

std::optional<std::string> BookWriter::work() {
  try {
    while (true) {
      if (auto trouble = open()) {
        return trouble;
      }
      const Waiting* next = nullptr;
      {
        const std::scoped_lock lock(mutex_);
        if (waiting_.empty()) {
          return std::nullopt;
        }
        next = &waiting_.front();  // stays where it is while others are added behind it
        is_writing_ = true;
      }
      write(next->action);
      {
        const std::scoped_lock lock(mutex_);
        is_writing_ = false;
        kept_.store(next->last_serial);
        waiting_.pop_front();
        trouble_.reset();
      }
      changed_.notify_all();
    }
  } catch (const std::exception& fault) {
    {
      const std::scoped_lock lock(mutex_);
      is_writing_ = false;
    }
    changed_.notify_all();
    return fault.what();
  }
}

std::optional<std::string> BookWriter::open() {
  if (connection_ && !connection_->has_moved()) {
    return std::nullopt;
  }
  connection_.reset();
  make_folder(path_);
  if (!lock_.take(path_)) {
    return fmt::format(
        "{}: another program has this book open; until that one ends, it can only be read here.",
        base::printable(path_));
  }
  connection_.emplace(path_, BookUse::kWrite);
  return std::nullopt;
}

void BookWriter::write(const BookAction& action) {
  try {
    Statements& statements = connection_->statements();
    SQLite::Transaction transaction(connection_->database(),
                                    SQLite::TransactionBehavior::IMMEDIATE);
    for (const std::string& key : action.erased_shows) {
      erase_show(statements, key);
    }
    for (const show::ShowRecord& show : action.shows) {
      write_show(statements, show);
      if (action.is_live) {
        mark_live(statements, show.key);
      }
    }
    for (const show::GuessRecord& guess : action.guesses) {
      write_guess(statements, guess);
    }
    transaction.commit();
  } catch (const SQLite::Exception& fault) {
    std::string sentence = sentence_for(fault, path_);
    if (!is_busy(fault)) {
      connection_.reset();  // begun anew next time, whatever state it is in
    }
    throw base::Error(sentence);
  }
}

}  // namespace brink::io
