#include <windows.h>

#include <atomic>
#include <csignal>

#include "cli/interrupt.h"
#include "io/unfinished_files.h"

namespace brink::cli {
namespace {

// The system calls the handler on a thread of its own.
std::atomic<int> caught_signal{0};
std::atomic<bool> is_question{false};

BOOL WINAPI on_event(DWORD event) {
  const bool is_key = event == CTRL_C_EVENT || event == CTRL_BREAK_EVENT;
  const int number =
      is_key ? SIGINT : SIGTERM;  // the others: console closed, logged off, shut down
  int none = 0;
  if (!is_question.load() || !caught_signal.compare_exchange_strong(none, number)) {
    io::end_by_signal(number);
  }
  if (!is_key) {
    Sleep(INFINITE);  // the process ends when this returns; its own end comes first
  }
  return TRUE;
}

}  // namespace

void watch_end_signals() {
  SetConsoleCtrlHandler(on_event, TRUE);
}

void catch_interrupts() {
  is_question = true;
}

int interrupt_signal() noexcept {
  return caught_signal;
}

}  // namespace brink::cli
