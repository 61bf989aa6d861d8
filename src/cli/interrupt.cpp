#include "cli/interrupt.h"

#include <csignal>

namespace brink::cli {
namespace {

// A signal handler may touch nothing else.
volatile std::sig_atomic_t caught_signal = 0;

void remember(int number) {
  caught_signal = number;
}

}  // namespace

void catch_interrupts() {
  struct sigaction action {};

  action.sa_handler = remember;
  action.sa_flags = static_cast<int>(SA_RESETHAND);  // the second one does what it always does
  sigaction(SIGINT, &action, nullptr);
  sigaction(SIGTERM, &action, nullptr);
}

int interrupt_signal() noexcept {
  return caught_signal;
}

}  // namespace brink::cli
