#include "support/udp_console.h"

#include <arpa/inet.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <bit>
#include <chrono>
#include <cstdint>
#include <cstring>
#include <stdexcept>

namespace brink::tests {
namespace {

double now_s() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

std::string padded(std::string text) {
  text.append(4 - text.size() % 4, '\0');
  return text;
}

std::string big_endian(std::uint32_t number) {
  std::string bytes;
  for (int shift = 24; shift >= 0; shift -= 8) {
    bytes += static_cast<char>(number >> static_cast<unsigned>(shift) & 0xFFU);
  }
  return bytes;
}

int open_loopback(std::uint32_t host) {
  const int made = socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(host);
  if (bind(made, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0) {
    close(made);
    throw std::runtime_error("no UDP port on the loopback");
  }
  return made;
}

}  // namespace

std::string osc_bytes(const std::string& address, std::optional<float> value) {
  return padded(address) +
         (value ? padded(",f") + big_endian(std::bit_cast<std::uint32_t>(*value)) : padded(","));
}

UdpConsole::UdpConsole(std::map<std::string, float> numbers)
    : UdpConsole(std::move(numbers), Faults{}) {}

UdpConsole::UdpConsole(std::map<std::string, float> numbers, const Faults& faults)
    : numbers_(std::move(numbers)), faults_(faults), socket_(open_loopback(INADDR_LOOPBACK)) {
  sockaddr_in address{};
  socklen_t bytes = sizeof address;
  getsockname(socket_, reinterpret_cast<sockaddr*>(&address), &bytes);
  port_ = ntohs(address.sin_port);
  thread_ = std::jthread([this](const std::stop_token& stop) { run(stop); });
}

UdpConsole::~UdpConsole() {
  thread_.request_stop();
  thread_.join();
  close(socket_);
}

float UdpConsole::number(const std::string& address) {
  const std::scoped_lock hold(lock_);
  return numbers_.at(address);
}

void UdpConsole::set(const std::string& address, float number) {
  const std::scoped_lock hold(lock_);
  numbers_.at(address) = number;
}

void UdpConsole::switch_on(bool is_on) {
  const std::scoped_lock hold(lock_);
  is_on_ = is_on;
}

std::vector<std::pair<std::string, float>> UdpConsole::told() {
  const std::scoped_lock hold(lock_);
  return told_;
}

int UdpConsole::asked() {
  const std::scoped_lock hold(lock_);
  return asked_;
}

void UdpConsole::say(const std::string& bytes, bool is_from_elsewhere) {
  const std::scoped_lock hold(lock_);
  const int from = is_from_elsewhere ? open_loopback(INADDR_LOOPBACK + 1) : socket_;
  sendto(from,
         bytes.data(),
         bytes.size(),
         0,
         reinterpret_cast<const sockaddr*>(asker_.data()),
         static_cast<socklen_t>(asker_.size()));
  if (is_from_elsewhere) {
    close(from);
  }
}

bool UdpConsole::happens(double ratio) {
  return std::uniform_real_distribution<double>(0.0, 1.0)(random_) < ratio;
}

void UdpConsole::answer(const std::string& address) {
  std::string bytes = osc_bytes(address, numbers_.at(address));
  if (faults_.has_bundles) {
    bytes = padded("#bundle") + std::string(7, '\0') + "\x01" +
            big_endian(static_cast<std::uint32_t>(bytes.size())) + bytes;
  }
  const int copies = happens(faults_.double_ratio) ? 2 : 1;
  for (int copy = 0; copy < copies && !happens(faults_.loss_ratio); ++copy) {
    const double late_s = faults_.late_ms / 1000.0;
    const double wait_s = std::uniform_real_distribution<double>(0.0, 1.0)(random_) * late_s;
    answers_.push_back({now_s() + wait_s, bytes});
  }
}

void UdpConsole::hear(const std::string& bytes) {
  const std::string address(bytes.c_str());
  const std::size_t types = (address.size() / 4 + 1) * 4;
  if (!is_on_ || happens(faults_.loss_ratio) || types + 2 > bytes.size()) {
    return;
  }
  const char type = bytes[types + 1];
  if (type == '\0') {
    ++asked_;
    if (numbers_.contains(address)) {
      answer(address);
    }
  } else if (bytes.size() >= types + 8) {
    std::uint32_t number = 0;
    for (std::size_t i = 0; i < 4; ++i) {
      number = number << 8U | static_cast<unsigned char>(bytes[types + 4 + i]);
    }
    const float value = type == 'f' ? std::bit_cast<float>(number)
                                    : static_cast<float>(std::bit_cast<std::int32_t>(number));
    numbers_[address] = value;
    told_.emplace_back(address, value);
  }
}

void UdpConsole::run(const std::stop_token& stop) {
  while (!stop.stop_requested()) {
    pollfd file{socket_, POLLIN, 0};
    std::array<char, 2048> bytes{};
    sockaddr_storage from{};
    socklen_t from_bytes = sizeof from;
    const bool has_one = poll(&file, 1, 5) == 1;
    const ssize_t count = has_one ? recvfrom(socket_,
                                             bytes.data(),
                                             bytes.size(),
                                             MSG_DONTWAIT,
                                             reinterpret_cast<sockaddr*>(&from),
                                             &from_bytes)
                                  : -1;
    const std::scoped_lock hold(lock_);
    if (count > 0) {
      asker_.assign(reinterpret_cast<const char*>(&from), from_bytes);
      hear(std::string(bytes.data(), static_cast<std::size_t>(count)));
    }
    for (const Answer& one : answers_) {
      if (one.leaves_s <= now_s()) {
        sendto(socket_,
               one.bytes.data(),
               one.bytes.size(),
               0,
               reinterpret_cast<const sockaddr*>(asker_.data()),
               static_cast<socklen_t>(asker_.size()));
      }
    }
    const double now = now_s();
    std::erase_if(answers_, [&](const Answer& one) { return one.leaves_s <= now; });
  }
}

}  // namespace brink::tests
