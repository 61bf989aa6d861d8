#include "io/page/page_server.h"

#include <doctest/doctest.h>
#include <sys/resource.h>

#include <atomic>
#include <chrono>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "base/error.h"
#include "io/page/request_door.h"
#include "support/http_visitor.h"

using namespace brink;
using tests::HttpVisitor;

namespace {

constexpr double kPatienceS = 20.0;  // only ever spent when something hangs
constexpr const char* kSecret = "0123456789abcdefghjkmnpqrs";

io::PageConfig config_on(std::uint16_t port = 0) {
  io::PageConfig config;
  config.address = {"127.0.0.1", port};
  config.secret = kSecret;
  config.files = {{"", "text/html; charset=utf-8", "<p>here</p>"},
                  {"page.js", "text/javascript", "1"}};
  return config;
}

std::string at(const std::string& name) {
  return "/" + std::string(kSecret) + "/" + name;
}

int status_of(const std::string& answer) {
  return answer.starts_with("HTTP/1.1 ") ? std::stoi(answer.substr(9, 3)) : 0;
}

std::string body_of(const std::string& answer) {
  const std::size_t end = answer.find("\r\n\r\n");
  return end == std::string::npos ? "no head" : answer.substr(end + 4);
}

/// The whole answer to a GET; empty when the connection was closed without one.
std::string answer_to(int port, const std::string& target, const std::string& more_headers = {}) {
  HttpVisitor visitor(port);
  visitor.get(target, more_headers);
  return visitor.read_all(kPatienceS).value_or("it stays open");
}

std::string raw_answer(int port, const std::string& bytes) {
  HttpVisitor visitor(port);
  visitor.send(bytes);
  return visitor.read_all(kPatienceS).value_or("it stays open");
}

/// Somebody who reads the states, once he is seen to be there.
HttpVisitor reader_of(const io::PageServer& server, int already, int receive_bytes = 0) {
  HttpVisitor visitor(server.address().port, receive_bytes);
  visitor.get(at("states"));
  REQUIRE(status_of(visitor.read_until("\r\n\r\n", kPatienceS)) == 200);
  while (server.readers() <= already) {
    std::this_thread::yield();
  }
  return visitor;
}

/// Shows a state until the reader has it: one that is shown while the last is taken is dropped.
std::string shown_to(HttpVisitor& reader, io::PageServer& server, const std::string& state) {
  std::string message;
  while (message != "data: " + state + "\n\n") {
    server.show(state);
    message = reader.read_until("\n\n", 0.1);
  }
  return message;
}

/// The system may give fewer descriptors than a thousand connections take.
void allow_descriptors() {
  rlimit limit{};
  REQUIRE(getrlimit(RLIMIT_NOFILE, &limit) == 0);
  limit.rlim_cur = limit.rlim_max;
  REQUIRE(setrlimit(RLIMIT_NOFILE, &limit) == 0);
}

/// Shows states as a face does, one after another, until it is destroyed.
class Shower {
 public:
  explicit Shower(io::PageServer& server, std::size_t length = 100)
      : thread_([&server, length](const std::stop_token& stop) {
          for (int i = 0; !stop.stop_requested(); ++i) {
            server.show(std::to_string(i) + std::string(length, '.'));
            std::this_thread::sleep_for(std::chrono::milliseconds(5));
          }
        }) {}

 private:
  std::jthread thread_;
};

}  // namespace

TEST_SUITE_BEGIN("threads");

TEST_CASE("the page and its parts are served to whoever has the secret") {
  const io::PageServer server(config_on());
  const int port = server.address().port;
  CHECK(server.url() == "http://127.0.0.1:" + std::to_string(port) + at(""));
  const std::string page = answer_to(port, at(""));
  CHECK(status_of(page) == 200);
  CHECK(body_of(page) == "<p>here</p>");
  CHECK(page.find("Content-Type: text/html; charset=utf-8\r\n") != std::string::npos);
  CHECK(page.find("default-src 'none'; script-src 'self'") != std::string::npos);
  CHECK(page.find("Cache-Control: no-store\r\n") != std::string::npos);
  CHECK(page.find("Referrer-Policy: no-referrer\r\n") != std::string::npos);
  CHECK(body_of(answer_to(port, at("page.js"))) == "1");
  CHECK(status_of(answer_to(port, at("page.css"))) == 404);
}

TEST_CASE("without the secret, or with a wrong one, nothing is served and nothing is told") {
  const io::PageServer server(config_on());
  const int port = server.address().port;
  const std::string right = at("");
  std::vector<std::string> wrong{"/",
                                 "/page.js",
                                 "/states",
                                 "//",
                                 "/favicon.ico",
                                 "/" + right,
                                 right.substr(0, right.size() - 1)};
  for (std::size_t i = 1; i + 1 < right.size(); ++i) {  // one letter is another
    std::string one = right;
    one[i] = one[i] == 'z' ? 'y' : 'z';
    wrong.push_back(one);
  }
  wrong.push_back("/" + std::string(26, '0') + "/");
  wrong.push_back("/x" + right);
  wrong.push_back("/../" + std::string(kSecret).substr(1) + "/");
  for (const std::string& target : wrong) {
    CAPTURE(target);
    const std::string answer = answer_to(port, target);
    CHECK(status_of(answer) == 404);
    CHECK(body_of(answer).empty());
  }
  for (const char* name :
       {"../page.js", "..%2fetc/passwd", "%00", "page.js/", "states/", "key/cut"}) {
    CAPTURE(name);
    CHECK(status_of(answer_to(port, at(name))) == 404);
  }
}

TEST_CASE("another host or another origin gets nothing, the secret or not") {
  const io::PageServer server(config_on());
  const int port = server.address().port;
  const std::string here = "127.0.0.1:" + std::to_string(port);
  const auto ask = [&](const std::string& headers) {
    return status_of(raw_answer(port, "GET " + at("") + " HTTP/1.1\r\n" + headers + "\r\n"));
  };
  CHECK(ask("Host: " + here + "\r\n") == 200);
  CHECK(ask("Host: " + here + "\r\nOrigin: http://" + here + "\r\n") == 200);
  CHECK(ask("") == 404);
  CHECK(ask("Host: brink.example\r\n") == 404);
  CHECK(ask("Host: 127.0.0.1\r\n") == 404);
  CHECK(ask("Host: localhost:" + std::to_string(port) + "\r\n") == 404);
  CHECK(ask("Host: " + here + "\r\nHost: brink.example\r\n") == 404);
  CHECK(ask("Host: " + here + "\r\nOrigin: http://brink.example\r\n") == 404);
  CHECK(ask("Host: " + here + "\r\nOrigin: null\r\n") == 404);
}

TEST_CASE("requests that are none are refused, and the page is served as before") {
  io::PageServer server(config_on());
  const int port = server.address().port;
  const std::string host = " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(port) + "\r\n";
  const std::string nothing(100, '\0');
  for (const std::string& bytes : {std::string("\r\n\r\n"),
                                   std::string("GET\r\n\r\n"),
                                   std::string("GET / HTTP/9.9\r\n\r\n"),
                                   std::string("\x16\x03\x01\x02\r\n\r\n"),  // TLS
                                   nothing + "\r\n\r\n",
                                   "BREW " + at("") + host + "\r\n",
                                   "GET " + std::string(8000, 'a') + host + "\r\n"}) {
    const int status = status_of(raw_answer(port, bytes));
    CAPTURE(bytes.substr(0, 20));
    CHECK((status == 0 || status >= 400));
  }
  for (const char* method : {"POST", "PUT", "DELETE", "HEAD", "OPTIONS", "PATCH"}) {
    CAPTURE(std::string(method));
    CHECK(status_of(raw_answer(port, method + (" " + at("")) + host + "\r\n")) == 405);
  }
  // What the library could be busy with for long is left alone: many parts of a file, packed
  // bodies.
  std::string ranges = "Range: bytes=0-1";
  for (int i = 0; i < 1000; ++i) {
    ranges += ",0-1";
  }
  CHECK(body_of(answer_to(port, at(""), ranges + "\r\n")) == "<p>here</p>");
  CHECK(status_of(raw_answer(port,
                             "POST " + at("") + host +
                                 "Content-Encoding: gzip\r\nTransfer-Encoding: chunked\r\n"
                                 "Expect: 100-continue\r\n\r\n")) == 405);
  CHECK(body_of(answer_to(port, at(""), "Accept-Encoding: gzip, br\r\n")) == "<p>here</p>");
  CHECK(status_of(answer_to(port, at(""))) == 200);
}

TEST_CASE("a head that is too long is refused, however it is made") {
  const io::PageServer server(config_on());
  const int port = server.address().port;
  CHECK(status_of(answer_to(port, at(""), "X: " + std::string(7000, 'x') + "\r\n")) == 200);
  std::string many;
  while (many.size() < 2 * io::RequestDoor::kLongestHead) {
    many += "X: x\r\n";
  }
  for (const std::string& headers :
       {"X: " + std::string(io::RequestDoor::kLongestHead, 'x') + "\r\n", many}) {
    HttpVisitor visitor(port);
    visitor.get(at(""), headers);
    const std::string answer = visitor.read_all(kPatienceS).value_or("it stays open");
    CHECK((answer.empty() || status_of(answer) == 431));  // what was not read may reset it
  }
  // Without an end, it is over at the limit and not when the sender wants.
  HttpVisitor endless(port);
  bool is_open = true;
  std::size_t sent = 0;
  while (is_open && sent < (1U << 24U)) {
    is_open = endless.send(std::string(65536, 'x'));
    sent += 65536;
  }
  CHECK_FALSE(is_open);
}

TEST_CASE("a reader gets what is shown after it came, and nothing from before") {
  io::PageServer server(config_on());
  CHECK(server.readers() == 0);
  server.show("before");
  HttpVisitor reader = reader_of(server, 0);
  std::string first;
  while (first.empty()) {
    server.show("one");
    first = reader.read_until("\n\n", 0.1);
  }
  CHECK(first == "data: one\n\n");
  CHECK(shown_to(reader, server, "two") == "data: two\n\n");
}

TEST_CASE("a ninth reader is refused until one of the eight leaves") {
  io::PageServer server(config_on());
  std::vector<HttpVisitor> readers;
  for (int i = 0; i < io::PageServer::kMostReaders; ++i) {
    readers.push_back(reader_of(server, i));
  }
  CHECK(status_of(answer_to(server.address().port, at("states"))) == 503);
  CHECK(status_of(answer_to(server.address().port, at(""))) == 200);
  CHECK(server.readers() == io::PageServer::kMostReaders);
  readers.pop_back();
  const Shower shower(server);  // a reader that left is noticed at the next states
  while (server.readers() == io::PageServer::kMostReaders) {
    std::this_thread::yield();
  }
  HttpVisitor late(server.address().port);
  late.get(at("states"));
  CHECK(status_of(late.read_until("\r\n\r\n", kPatienceS)) == 200);
  CHECK(late.read_until("\n\n", kPatienceS).starts_with("data: "));
}

TEST_CASE(
    "a reader that takes nothing delays neither the others nor whoever shows, and is closed") {
  io::PageServer server(config_on());
  HttpVisitor stuck = reader_of(server, 0, 4096);
  HttpVisitor good = reader_of(server, 1);
  const Shower shower(server, 4000);
  int last = -1;
  while (server.readers() == 2) {  // until the stuck one is given up
    const std::string state = good.read_until("\n\n", kPatienceS);
    REQUIRE(state.starts_with("data: "));
    const int number = std::stoi(state.substr(6));
    CHECK(number > last);
    last = number;
  }
  CHECK(good.read_until("\n\n", kPatienceS).starts_with("data: "));
  CHECK(server.readers() == 1);
}

TEST_CASE("a thousand connections that say nothing leave readers and visitors alone") {
  allow_descriptors();
  io::PageServer server(config_on());
  HttpVisitor reader = reader_of(server, 0);
  std::vector<HttpVisitor> idle;
  for (int i = 0; i < 1000; ++i) {
    idle.emplace_back(server.address().port);
    if (i % 3 == 0) {
      idle.back().send("GET " + at("") + " HTTP/1.1\r\nX: ");  // and half of something
    }
  }
  CHECK(status_of(answer_to(server.address().port, at(""))) == 200);
  CHECK(shown_to(reader, server, "still here") == "data: still here\n\n");
  // Most had to make room, and the rest is closed when its patience is over.
  for (HttpVisitor& one : idle) {
    CHECK(one.read_all(kPatienceS).has_value());
  }
}

TEST_CASE("whoever sends a byte at a time is closed, and holds nobody up") {
  const io::PageServer server(config_on());
  const int port = server.address().port;
  std::vector<HttpVisitor> slow;
  for (int i = 0; i < 20; ++i) {
    slow.emplace_back(port);
  }
  std::size_t open = slow.size();
  bool is_served = true;
  while (open > 0) {
    open = 0;
    for (const HttpVisitor& one : slow) {
      open += static_cast<std::size_t>(one.send("x"));
    }
    is_served = is_served && status_of(answer_to(port, at(""))) == 200;
  }
  CHECK(is_served);
}

TEST_CASE("keys come through where the page has keys, and only as a post of its own origin") {
  io::PageConfig config = config_on();
  std::mutex mutex;
  std::vector<std::string> pressed;
  config.on_key = [&](const std::string& key) {
    const std::lock_guard lock(mutex);
    pressed.push_back(key);
    return key != "stale";
  };
  const io::PageServer server(config);
  const int port = server.address().port;
  const auto press = [&](const std::string& name, const std::string& headers = {}) {
    return status_of(raw_answer(port,
                                "POST " + at("key/" + name) +
                                    " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(port) +
                                    "\r\nContent-Length: 0\r\n" + headers + "\r\n"));
  };
  CHECK(press("cut-1-7") == 204);
  CHECK(press("stale") == 410);
  CHECK(press("other", "Origin: http://brink.example\r\n") == 404);
  CHECK(status_of(answer_to(port, at("key/get"))) == 405);
  const std::lock_guard lock(mutex);
  CHECK(pressed == std::vector<std::string>{"cut-1-7", "stale"});
}

TEST_CASE("closing the page ends every connection at once, and the same port can be had again") {
  std::uint16_t port = 0;
  std::vector<HttpVisitor> readers;
  {
    io::PageServer server(config_on());
    port = server.address().port;
    readers.push_back(reader_of(server, 0));
    readers.push_back(reader_of(server, 1, 4096));  // never reads
    readers.emplace_back(port);                     // never asks
    for (int i = 0; i < 100; ++i) {
      server.show(std::string(8000, '.'));
    }
  }
  CHECK(readers[0].read_all(kPatienceS).has_value());
  CHECK(readers[2].read_all(kPatienceS) == "");
  CHECK_THROWS_AS(HttpVisitor{port}, std::runtime_error);
  const io::PageServer again(config_on(port));
  CHECK(status_of(answer_to(port, at(""))) == 200);
}

TEST_SUITE_END();

TEST_CASE("an address that cannot be had is told in a sentence") {
  const io::PageServer first(config_on());
  const auto fault_of = [](const io::PageAddress& address) {
    io::PageConfig config = config_on();
    config.address = address;
    try {
      const io::PageServer server(config);
    } catch (const base::Error& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  CHECK(fault_of(first.address()).find("another brink may serve its page there") !=
        std::string::npos);
  // Of the network that stands for none in documents (RFC 5737).
  CHECK(fault_of({"192.0.2.1", 61017}).find("this machine has no such address") !=
        std::string::npos);
}
