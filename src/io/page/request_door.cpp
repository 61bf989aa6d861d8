#include "io/page/request_door.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/eventfd.h>
#include <sys/socket.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <deque>
#include <string_view>
#include <system_error>
#include <vector>

#include "base/error.h"

namespace brink::io {
namespace {

using Clock = std::chrono::steady_clock;

/// A connection whose request is not whole yet.
struct Waiting {
  Socket socket;
  Clock::time_point since;
  std::string head = {};
};

enum class Progress { kWaits, kWhole, kOver };

/// Takes what has come.
Progress read_more(Waiting& one) {
  std::array<char, 2048> bytes{};
  for (;;) {
    const ssize_t count = ::recv(one.socket.descriptor(), bytes.data(), bytes.size(), 0);
    if (count < 0 && errno == EINTR) {
      continue;
    }
    if (count < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) {
      return Progress::kWaits;
    }
    if (count <= 0) {
      return Progress::kOver;
    }
    constexpr std::string_view kEnd = "\r\n\r\n";
    const std::size_t from = one.head.size() < kEnd.size() ? 0 : one.head.size() - kEnd.size();
    one.head.append(bytes.data(), static_cast<std::size_t>(count));
    const std::size_t end = one.head.find(kEnd, from);
    if (end != std::string::npos && end + kEnd.size() <= RequestDoor::kLongestHead) {
      one.head.resize(end + kEnd.size());
      return Progress::kWhole;
    }
    if (one.head.size() > RequestDoor::kLongestHead) {
      constexpr std::string_view kAnswer =
          "HTTP/1.1 431 Request Header Fields Too Large\r\nConnection: close\r\n"
          "Content-Length: 0\r\n\r\n";
      (void)::send(one.socket.descriptor(), kAnswer.data(), kAnswer.size(), MSG_NOSIGNAL);
      return Progress::kOver;
    }
  }
}

/// All connections that wait, the oldest first.
class WaitingRoom {
 public:
  void accept_all(int listener, const std::function<void(WholeRequest)>& take) {
    for (;;) {
      Socket fresh(::accept4(listener, nullptr, nullptr, SOCK_NONBLOCK | SOCK_CLOEXEC));
      if (!fresh.is_open()) {
        is_short_ = errno != EAGAIN && errno != EWOULDBLOCK;
        if ((errno == EMFILE || errno == ENFILE) && !all_.empty()) {
          all_.pop_front();  // no descriptor is left: room is made here first
        }
        return;
      }
      if (all_.size() == RequestDoor::kMostWaiting) {
        all_.pop_front();
      }
      all_.push_back({std::move(fresh), Clock::now()});
      read(all_.size() - 1, take);  // most have sent it by now, and need not wait at all
      if (!all_.back().socket.is_open()) {
        all_.pop_back();
      }
    }
  }

  void read(std::size_t index, const std::function<void(WholeRequest)>& take) {
    Waiting& one = all_[index];
    const Progress progress = read_more(one);
    if (progress == Progress::kWhole) {
      take({std::move(one.socket), std::move(one.head)});
    }
    if (progress != Progress::kWaits) {
      one.socket = Socket();
    }
  }

  void drop_late() {
    const auto now = Clock::now();
    std::erase_if(all_, [now](const Waiting& one) {
      return !one.socket.is_open() ||
             now - one.since > std::chrono::duration<double>(RequestDoor::kPatienceS);
    });
  }

  [[nodiscard]] std::size_t size() const noexcept { return all_.size(); }

  [[nodiscard]] int descriptor(std::size_t index) const noexcept {
    return all_[index].socket.descriptor();
  }

  /// The last accept_all() failed: the next one is due a moment later.
  [[nodiscard]] bool takes_short() noexcept { return std::exchange(is_short_, false); }

 private:
  std::deque<Waiting> all_;
  bool is_short_ = false;
};

}  // namespace

RequestDoor::RequestDoor(const PageAddress& address)
    : address_(address),
      listener_(::socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0)),
      bell_(::eventfd(0, EFD_NONBLOCK | EFD_CLOEXEC)) {
  const auto refuse = [&](int fault) {
    const char* const hint = fault == EADDRINUSE ? "another brink may serve its page there; choose "
                                                   "another port with --page ADDRESS:PORT"
                             : fault == EADDRNOTAVAIL ? "this machine has no such address"
                                                      : "choose another address with --page";
    throw base::Error(fmt::format("The page cannot be served at {} ({}): {}.",
                                  address_.text(),
                                  std::generic_category().message(fault),
                                  hint));
  };
  sockaddr_in place{};
  place.sin_family = AF_INET;
  place.sin_port = htons(address_.port);
  if (!listener_.is_open() || !bell_.is_open()) {
    refuse(errno);
  }
  if (inet_pton(AF_INET, address_.host.c_str(), &place.sin_addr) != 1) {
    refuse(EADDRNOTAVAIL);
  }
  // So that it can be opened again at once after it was closed.
  const int is_on = 1;
  (void)::setsockopt(listener_.descriptor(), SOL_SOCKET, SO_REUSEADDR, &is_on, sizeof is_on);
  auto* const any = reinterpret_cast<sockaddr*>(&place);  // the system's own type for all kinds
  socklen_t size = sizeof place;
  if (::bind(listener_.descriptor(), any, size) != 0 ||
      ::listen(listener_.descriptor(), SOMAXCONN) != 0 ||
      ::getsockname(listener_.descriptor(), any, &size) != 0) {
    refuse(errno);
  }
  address_.port = ntohs(place.sin_port);
}

void RequestDoor::run(const std::function<void(WholeRequest)>& take) {
  constexpr int kLookMs = 200;  // at those that are late
  constexpr int kShortMs = 50;
  WaitingRoom room;
  std::vector<pollfd> files;
  for (;;) {
    const bool is_short = room.takes_short();
    files.clear();
    files.push_back({bell_.descriptor(), POLLIN, 0});
    files.push_back({is_short ? -1 : listener_.descriptor(), POLLIN, 0});
    for (std::size_t i = 0; i < room.size(); ++i) {
      files.push_back({room.descriptor(i), POLLIN, 0});
    }
    (void)::poll(files.data(), files.size(), is_short ? kShortMs : kLookMs);
    if (files[0].revents != 0) {
      return;
    }
    for (std::size_t i = 2; i < files.size(); ++i) {
      if (files[i].revents != 0) {
        room.read(i - 2, take);
      }
    }
    room.drop_late();
    if (files[1].revents != 0) {
      room.accept_all(listener_.descriptor(), take);
    }
  }
}

void RequestDoor::close() noexcept {
  (void)::eventfd_write(bell_.descriptor(), 1);
}

}  // namespace brink::io
