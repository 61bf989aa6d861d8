#include "listen/workers.h"

#include <utility>

namespace brink::listen {

Workers::Workers(int count) : count_(count) {
  for (int i = 1; i < count; ++i) {
    threads_.emplace_back([this] { serve(); });
  }
}

Workers::~Workers() {
  piece_ = nullptr;
  if (!threads_.empty()) {
    meet();
  }
}

void Workers::serve() {
  while (true) {
    meet();
    if (piece_ == nullptr) {
      return;
    }
    take_pieces();
    meet();
  }
}

/// Returns when all threads are here.
void Workers::meet() {
  std::unique_lock lock(mutex_);
  const std::uint64_t this_one = meetings_;
  if (++arrived_ == count_) {
    arrived_ = 0;
    ++meetings_;
    met_.notify_all();
    return;
  }
  met_.wait(lock, [&] { return meetings_ != this_one; });
}

void Workers::take_pieces() {
  for (std::size_t i = next_.fetch_add(1); i < pieces_; i = next_.fetch_add(1)) {
    try {
      (*piece_)(i);
    } catch (...) {
      const std::scoped_lock lock(mutex_);
      thrown_ = std::current_exception();
    }
  }
}

void Workers::run(std::size_t pieces, const std::function<void(std::size_t)>& piece) {
  next_ = 0;
  pieces_ = pieces;
  piece_ = &piece;
  if (!threads_.empty()) {
    meet();
  }
  take_pieces();
  if (!threads_.empty()) {
    meet();
  }
  if (thrown_) {
    std::rethrow_exception(std::exchange(thrown_, nullptr));
  }
}

}  // namespace brink::listen
