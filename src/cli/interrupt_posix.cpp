#include <csignal>

#include "cli/interrupt.h"
#include "io/unfinished_files.h"

namespace brink::cli {
namespace {

// A signal handler may write no other kind of variable.
volatile std::sig_atomic_t caught_signal = 0;
volatile std::sig_atomic_t is_question = 0;

void on_signal(int number) {
  if (is_question != 0 && caught_signal == 0) {
    caught_signal = number;
  } else {
    io::end_by_signal(number);
  }
}

}  // namespace

void watch_end_signals() {
  struct sigaction action {};

  action.sa_handler = on_signal;
  for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
    struct sigaction before {};

    sigaction(number, nullptr, &before);
    if (before.sa_handler != SIG_IGN) {
      sigaction(number, &action, nullptr);
    }
  }
}

void catch_interrupts() {
  is_question = 1;
}

int interrupt_signal() noexcept {
  return caught_signal;
}

}  // namespace brink::cli
