#include <fmt/format.h>
#include <windows.h>

#include <array>
#include <chrono>
#include <system_error>
#include <thread>
#include <utility>

#include "base/error.h"
#include "io/live/child_process.h"
#include "io/windows_text.h"

namespace brink::io {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

constexpr milliseconds kLook(2);
// The child finds its handles in these variables.
constexpr const wchar_t* kMemory = L"BRINK_MEMORY";
constexpr const wchar_t* kAlive = L"BRINK_ALIVE";

// The system's handles have 32 bits that count, in every process.
HANDLE to_handle(int number) noexcept {
  return reinterpret_cast<HANDLE>(static_cast<std::intptr_t>(number));
}

int to_number(HANDLE handle) noexcept {
  return static_cast<int>(reinterpret_cast<std::intptr_t>(handle));
}

HANDLE from_parent(const wchar_t* variable) noexcept {
  const wchar_t* const text = _wgetenv(variable);
  return text == nullptr ? nullptr : to_handle(static_cast<int>(std::wcstol(text, nullptr, 10)));
}

void close_one(int& handle) noexcept {
  if (handle != -1) {
    CloseHandle(to_handle(std::exchange(handle, -1)));
  }
}

/// Owns a handle that is closed at the end of the block.
struct Held {
  HANDLE handle = nullptr;

  Held() = default;

  ~Held() {
    if (handle != nullptr) {
      CloseHandle(handle);
    }
  }

  Held(const Held&) = delete;
  Held& operator=(const Held&) = delete;
  Held(Held&&) = delete;
  Held& operator=(Held&&) = delete;

  [[nodiscard]] int release() noexcept { return to_number(std::exchange(handle, nullptr)); }
};

/// A pipe for talking to a child, which inherits their end.
struct Pipe {
  Held ours;
  Held theirs;

  explicit Pipe(bool child_writes) {
    SECURITY_ATTRIBUTES inherited{sizeof inherited, nullptr, TRUE};
    Held& reading = child_writes ? ours : theirs;
    Held& writing = child_writes ? theirs : ours;
    if (CreatePipe(&reading.handle, &writing.handle, &inherited, 0) != 0) {
      SetHandleInformation(ours.handle, HANDLE_FLAG_INHERIT, 0);
    }
  }
};

/// By the rules of CommandLineToArgvW. None of our words has a quote or ends with a backslash.
std::wstring command_line(const std::string& program, const std::vector<std::string>& arguments) {
  std::wstring line = L"\"" + to_wide(program) + L"\"";
  for (const std::string& word : arguments) {
    line += L" \"" + to_wide(word) + L"\"";
  }
  return line;
}

/// Ours, and the two variables before it: of one name the first counts.
std::wstring environment(int memory, HANDLE alive) {
  std::wstring block;
  for (const auto& [name, number] :
       {std::pair(kMemory, memory), std::pair(kAlive, to_number(alive))}) {
    block += name + std::wstring(L"=") + std::to_wstring(number) + L'\0';
  }
  wchar_t* const all = GetEnvironmentStringsW();
  for (const wchar_t* one = all; *one != L'\0'; one += std::wcslen(one) + 1) {
    block += std::wstring(one) + L'\0';
  }
  FreeEnvironmentStringsW(all);
  return block + L'\0';
}

/// Which handles a child inherits, and nothing else.
class Inheritance {
 public:
  explicit Inheritance(std::vector<HANDLE> handles) : handles_(std::move(handles)) {
    SIZE_T bytes = 0;
    InitializeProcThreadAttributeList(nullptr, 1, 0, &bytes);
    room_.resize(bytes);
    if (InitializeProcThreadAttributeList(list(), 1, 0, &bytes) != 0) {
      UpdateProcThreadAttribute(list(),
                                0,
                                PROC_THREAD_ATTRIBUTE_HANDLE_LIST,
                                handles_.data(),
                                handles_.size() * sizeof(HANDLE),
                                nullptr,
                                nullptr);
    }
  }

  ~Inheritance() { DeleteProcThreadAttributeList(list()); }

  Inheritance(const Inheritance&) = delete;
  Inheritance& operator=(const Inheritance&) = delete;
  Inheritance(Inheritance&&) = delete;
  Inheritance& operator=(Inheritance&&) = delete;

  [[nodiscard]] LPPROC_THREAD_ATTRIBUTE_LIST list() noexcept {
    return reinterpret_cast<LPPROC_THREAD_ATTRIBUTE_LIST>(room_.data());
  }

 private:
  std::vector<HANDLE> handles_;
  std::vector<char> room_;
};

}  // namespace

ChildProcess::ChildProcess(const std::string& program,
                           const std::vector<std::string>& arguments,
                           int memory,
                           bool wants_output) {
  Pipe alive(false);
  Pipe output(true);
  Held nowhere;
  SECURITY_ATTRIBUTES inherited{sizeof inherited, nullptr, TRUE};
  nowhere.handle = CreateFileW(L"NUL",
                               GENERIC_READ | GENERIC_WRITE,
                               FILE_SHARE_READ | FILE_SHARE_WRITE,
                               &inherited,
                               OPEN_EXISTING,
                               0,
                               nullptr);
  std::vector<HANDLE> handles{nowhere.handle, alive.theirs.handle, output.theirs.handle};
  if (memory != -1) {
    handles.push_back(to_handle(memory));
  }
  Inheritance inheritance(std::move(handles));
  STARTUPINFOEXW start{};
  start.StartupInfo.cb = sizeof start;
  start.StartupInfo.dwFlags = STARTF_USESTDHANDLES;
  start.StartupInfo.hStdInput = nowhere.handle;
  start.StartupInfo.hStdOutput = wants_output ? output.theirs.handle : nowhere.handle;
  start.StartupInfo.hStdError = nowhere.handle;
  start.lpAttributeList = inheritance.list();
  std::wstring line = command_line(program, arguments);
  std::wstring variables = environment(memory, alive.theirs.handle);
  PROCESS_INFORMATION child{};
  constexpr DWORD kHow = EXTENDED_STARTUPINFO_PRESENT | CREATE_UNICODE_ENVIRONMENT |
                         CREATE_NEW_PROCESS_GROUP | CREATE_NO_WINDOW;
  if (CreateProcessW(to_wide(program).c_str(),
                     line.data(),
                     nullptr,
                     nullptr,
                     TRUE,
                     kHow,
                     variables.data(),
                     nullptr,
                     &start.StartupInfo,
                     &child) == 0) {
    throw base::Error(fmt::format("The process for live sound could not be started ({}).",
                                  std::generic_category().message(last_fault())));
  }
  CloseHandle(child.hThread);
  process_ = to_number(child.hProcess);
  alive_ = alive.ours.release();
  output_ = wants_output ? output.ours.release() : -1;
}

ChildProcess::~ChildProcess() {
  stop(0);
}

void ChildProcess::close_pipes() noexcept {
  close_one(alive_);
  close_one(output_);
}

bool ChildProcess::is_running() noexcept {
  if (process_ != -1 && WaitForSingleObject(to_handle(process_), 0) == WAIT_OBJECT_0) {
    close_one(process_);
  }
  return process_ != -1;
}

void ChildProcess::stop(int patience_ms) noexcept {
  close_pipes();
  if (process_ != -1 && patience_ms > 0) {
    WaitForSingleObject(to_handle(process_), static_cast<DWORD>(patience_ms));
  }
  if (is_running()) {
    TerminateProcess(to_handle(process_), 1);
    WaitForSingleObject(to_handle(process_), INFINITE);
    close_one(process_);
  }
}

bool ChildProcess::read_output(std::string& output, int patience_ms) noexcept {
  const auto until = Clock::now() + milliseconds(patience_ms);
  std::array<char, 4096> bytes{};
  while (Clock::now() < until) {
    DWORD waiting = 0;
    DWORD count = 0;
    if (PeekNamedPipe(to_handle(output_), nullptr, 0, nullptr, &waiting, nullptr) == 0) {
      return true;  // the child has closed it
    }
    if (waiting == 0) {
      std::this_thread::sleep_for(kLook);
    } else if (ReadFile(to_handle(output_), bytes.data(), bytes.size(), &count, nullptr) != 0) {
      output.append(bytes.data(), count);
    }
  }
  return false;
}

int memory_of_parent() noexcept {
  return to_number(from_parent(kMemory));
}

bool has_parent_left(int patience_ms) noexcept {
  const HANDLE alive = from_parent(kAlive);
  const auto until = Clock::now() + milliseconds(patience_ms);
  for (;;) {
    if (PeekNamedPipe(alive, nullptr, 0, nullptr, nullptr, nullptr) == 0) {
      return true;
    }
    if (patience_ms >= 0 && Clock::now() >= until) {
      return false;
    }
    std::this_thread::sleep_for(kLook);
  }
}

}  // namespace brink::io
