#pragma once

#include <cstddef>
#include <map>
#include <mutex>
#include <optional>
#include <random>
#include <string>
#include <thread>
#include <utility>
#include <vector>

namespace brink::tests {

/// A packet of Open Sound Control 1.0, made by hand: the address, then one float, or no argument.
[[nodiscard]] std::string osc_bytes(const std::string& address, std::optional<float> value);

/// A console of our own on this machine's loopback, for tests: it speaks Open Sound Control over
/// UDP, keeps what it is told, and answers an address without an argument with its number.
class UdpConsole {
 public:
  struct Faults {
    double loss_ratio = 0.0;    ///< of packets that it never sees, and of answers that never leave
    double double_ratio = 0.0;  ///< of answers that leave twice
    int late_ms = 0;            ///< each answer waits up to that long
    bool has_bundles = false;   ///< answers come in bundles
  };

  /// `numbers`: what stands where at first.
  explicit UdpConsole(std::map<std::string, float> numbers);
  UdpConsole(std::map<std::string, float> numbers, const Faults& faults);
  ~UdpConsole();
  UdpConsole(const UdpConsole&) = delete;
  UdpConsole& operator=(const UdpConsole&) = delete;
  UdpConsole(UdpConsole&&) = delete;
  UdpConsole& operator=(UdpConsole&&) = delete;

  [[nodiscard]] int port() const { return port_; }

  // [any]

  [[nodiscard]] float number(const std::string& address);
  /// A hand sets it.
  void set(const std::string& address, float number);
  /// Off: it hears and says nothing.
  void switch_on(bool is_on);
  /// What it was told, in order: address and number.
  [[nodiscard]] std::vector<std::pair<std::string, float>> told();
  /// Sends these bytes to whoever asked last; from its own address, or from another host.
  void say(const std::string& bytes, bool is_from_elsewhere = false);
  /// Packets that came without an argument.
  [[nodiscard]] int asked();

 private:
  struct Answer {
    double leaves_s = 0.0;
    std::string bytes;
  };

  void run(const std::stop_token& stop);
  void hear(const std::string& bytes);
  void answer(const std::string& address);
  [[nodiscard]] bool happens(double ratio);

  std::mutex lock_;
  std::map<std::string, float> numbers_;
  Faults faults_;
  std::vector<std::pair<std::string, float>> told_;
  std::vector<Answer> answers_;
  std::mt19937_64 random_{5};
  std::string asker_;  // a socket address
  bool is_on_ = true;
  int asked_ = 0;
  int socket_ = -1;
  int port_ = 0;
  std::jthread thread_;
};

}  // namespace brink::tests
