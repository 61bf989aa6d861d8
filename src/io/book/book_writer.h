#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "io/book/book.h"
#include "io/book/book_connection.h"
#include "io/book/book_lock.h"

namespace brink::io {

/// What book.h promises, with its thread.
class BookWriter {
 public:
  explicit BookWriter(std::string path);
  ~BookWriter();
  BookWriter(const BookWriter&) = delete;
  BookWriter& operator=(const BookWriter&) = delete;
  BookWriter(BookWriter&&) = delete;
  BookWriter& operator=(BookWriter&&) = delete;

  std::uint64_t keep(BookAction action);

  [[nodiscard]] std::uint64_t kept() const noexcept { return kept_.load(); }

  [[nodiscard]] std::optional<std::string> trouble() const;
  [[nodiscard]] std::size_t waiting() const;
  [[nodiscard]] bool wait_for(std::uint64_t serial, double patience_s) const;
  bool drop_waiting();

 private:
  using Clock = std::chrono::steady_clock;

  struct Waiting {
    std::uint64_t last_serial = 0;  ///< of the actions that this one stands for
    BookAction action;
  };

  void run();
  /// Opens the book and writes what waits; the sentence when that cannot be done.
  std::optional<std::string> work();
  /// Nothing when nobody else writes to it and it is open.
  std::optional<std::string> open();
  void write(const BookAction& action);
  void rest(std::unique_lock<std::mutex>& lock);
  [[nodiscard]] bool is_over(Clock::time_point now) const;

  const std::string path_;

  // The thread's own.
  BookLock lock_;
  std::optional<BookConnection> connection_;

  mutable std::mutex mutex_;
  mutable std::condition_variable changed_;
  std::deque<Waiting> waiting_;
  bool is_writing_ = false;  ///< the first of them is in the thread's hands
  bool was_tried_ = false;
  std::uint64_t given_ = 0;
  std::atomic<std::uint64_t> kept_{0};
  std::optional<std::string> trouble_;
  std::optional<Clock::time_point> end_;  ///< set when it must come to an end

  std::thread thread_;  ///< last: all else is there when it starts
};

}  // namespace brink::io
