// Any bytes to the page's server, over a real connection: it is answered or closed, no key is taken
// that was not asked for with the secret, and the server goes on.

#include <arpa/inet.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cstdint>
#include <string>
#include <string_view>

#include "fuzz/fuzz.h"
#include "io/page/page_server.h"

using namespace brink;
using fuzz::demand;

namespace {

constexpr std::string_view kSecret = "abcdefghijkmnpqrstvwxyz234";

std::atomic<int> keys_taken = 0;

io::PageConfig page() {
  io::PageConfig config;
  config.address = {"127.0.0.1", 0};
  config.secret = kSecret;
  config.files = {{"", "text/html", "<!doctype html>"}, {"page.js", "text/javascript", ";"}};
  config.on_key = [](const std::string& key) {
    ++keys_taken;
    return key == "cut";
  };
  return config;
}

/// Sends all of it and reads the answer to its end. The states never end: a byte of them is enough.
std::string ask_server(std::uint16_t port, std::string_view request) {
  const int socket = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in place{};
  place.sin_family = AF_INET;
  place.sin_port = htons(port);
  place.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  demand(socket >= 0 &&
         ::connect(socket, reinterpret_cast<const sockaddr*>(&place), sizeof place) == 0);
  (void)::send(socket, request.data(), request.size(), MSG_NOSIGNAL);
  (void)::shutdown(socket, SHUT_WR);
  std::string answer;
  std::array<char, 4096> bytes{};
  ssize_t count = 0;
  while (answer.find("event-stream") == std::string::npos &&
         (count = ::recv(socket, bytes.data(), bytes.size(), 0)) > 0) {
    answer.append(bytes.data(), static_cast<std::size_t>(count));
  }
  // Closed by a reset: ten thousand connections a minute would otherwise use up the ports.
  const linger now{1, 0};
  (void)::setsockopt(socket, SOL_SOCKET, SO_LINGER, &now, sizeof now);
  ::close(socket);
  return answer;
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static io::PageServer server(page());
  // The port is another in each run: an input that is kept must work in the next one too.
  constexpr std::string_view kHost = "HOST";
  const std::string own = "127.0.0.1:" + std::to_string(server.address().port);
  std::string request(fuzz::to_text(data, size));
  for (auto at = request.find(kHost); at != std::string::npos; at = request.find(kHost, at)) {
    request.replace(at, kHost.size(), own);
    at += own.size();
  }
  const int before = keys_taken;
  const std::string answer = ask_server(server.address().port, request);
  server.show("{}");
  demand(answer.empty() || answer.starts_with("HTTP/1."));
  const bool has_secret = request.find(kSecret) != std::string::npos;
  demand(has_secret || (keys_taken == before && answer.find(" 200 ") == std::string::npos));
  return 0;
}
