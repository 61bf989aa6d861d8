#include "listen/workers.h"

namespace brink::listen {

Workers::Workers(int count) : gate_(count) {
  for (int i = 1; i < count; ++i) {
    threads_.emplace_back([this] { serve(); });
  }
}

Workers::~Workers() {
  piece_ = nullptr;
  if (!threads_.empty()) {
    gate_.arrive_and_wait();
  }
}

void Workers::serve() {
  while (true) {
    gate_.arrive_and_wait();
    if (piece_ == nullptr) {
      return;
    }
    take_pieces();
    gate_.arrive_and_wait();
  }
}

void Workers::take_pieces() {
  for (std::size_t i = next_.fetch_add(1); i < pieces_; i = next_.fetch_add(1)) {
    (*piece_)(i);
  }
}

void Workers::run(std::size_t pieces, const std::function<void(std::size_t)>& piece) {
  next_ = 0;
  pieces_ = pieces;
  piece_ = &piece;
  if (!threads_.empty()) {
    gate_.arrive_and_wait();
  }
  take_pieces();
  if (!threads_.empty()) {
    gate_.arrive_and_wait();
  }
}

}  // namespace brink::listen
