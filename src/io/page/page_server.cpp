#include "io/page/page_server.h"

#include <httplib.h>
#include <sys/socket.h>

#include <algorithm>
#include <atomic>
#include <functional>
#include <mutex>
#include <set>
#include <thread>
#include <utility>

#include "io/page/page_secret.h"
#include "io/page/request_door.h"
#include "io/page/request_queue.h"
#include "io/page/request_stream.h"
#include "io/page/state_board.h"

namespace brink::io {
namespace {

constexpr int kAnswerers = 4;  // threads that are left when every reader is there

enum Status : int {
  kNoContent = 204,
  kNotFound = 404,
  kNoMethod = 405,
  kGone = 410,
  kBusy = 503,
};

/// A reader's place, for as long as somebody holds it.
class Seat {
 public:
  explicit Seat(std::atomic<int>& taken)
      : taken_(taken), is_had_(++taken <= PageServer::kMostReaders) {}

  ~Seat() { --taken_; }

  Seat(const Seat&) = delete;
  Seat& operator=(const Seat&) = delete;
  Seat(Seat&&) = delete;
  Seat& operator=(Seat&&) = delete;

  [[nodiscard]] bool is_had() const noexcept { return is_had_; }

 private:
  std::atomic<int>& taken_;
  bool is_had_;
};

/// The library reads a request and writes its answer. Its own loop is not used: there a slow sender
/// holds a thread, nothing limits the connections, and one that fails ends it.
class Answerer : public httplib::Server {
 public:
  Answerer(const PageConfig& config, std::string host) : config_(config), host_(std::move(host)) {
    svr_sock_ = 0;  // or the library takes itself for closed, and ends a stream of states
    set_default_headers({
        {"Content-Security-Policy",
         "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src "
         "data:; "
         "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
        {"Cache-Control", "no-store"},
        {"Cross-Origin-Resource-Policy", "same-origin"},
        {"Referrer-Policy", "no-referrer"},
        {"X-Content-Type-Options", "nosniff"},
        {"X-Frame-Options", "DENY"},
    });
    set_pre_routing_handler([this](const httplib::Request& request, httplib::Response& response) {
      route(request, response);
      return HandlerResponse::Handled;
    });
  }

  void answer(WholeRequest request) {
    RequestStream stream(std::move(request), PageServer::kPatienceS);
    const Answering listed(*this, stream.socket());
    process(*this, stream, [](httplib::Request& read) {
      // What the page never asks for is not worked out: parts of a file, packed answers, bodies.
      read.ranges.clear();
      read.headers.erase("Accept-Encoding");
      read.headers.erase("Expect");
    });
    stream.finish();
  }

  /// Whoever waits for a slow receiver waits no longer.
  void end() {
    board_.end();
    const std::lock_guard lock(mutex_);
    is_over_ = true;
    for (const int descriptor : answering_) {
      (void)::shutdown(descriptor, SHUT_RDWR);
    }
  }

  StateBoard& board() { return board_; }

  [[nodiscard]] int readers() const noexcept {
    return std::min(seats_.load(), PageServer::kMostReaders);
  }

 private:
  /// Newer versions of the library also take the addresses of both ends, which nobody here looks
  /// at.
  template <typename Server>
  static void process(Server& server,
                      RequestStream& stream,
                      const std::function<void(httplib::Request&)>& set_up) {
    bool is_over = false;
    if constexpr (requires { server.process_request(stream, true, is_over, set_up); }) {
      server.process_request(stream, true, is_over, set_up);
    } else {
      server.process_request(stream, std::string(), 0, std::string(), 0, true, is_over, set_up);
    }
  }

  /// A connection that is being answered.
  class Answering {
   public:
    Answering(Answerer& answerer, int descriptor) : answerer_(answerer), descriptor_(descriptor) {
      const std::lock_guard lock(answerer_.mutex_);
      answerer_.answering_.insert(descriptor);
      if (answerer_.is_over_) {
        (void)::shutdown(descriptor, SHUT_RDWR);
      }
    }

    ~Answering() {
      const std::lock_guard lock(answerer_.mutex_);
      answerer_.answering_.erase(descriptor_);
    }

    Answering(const Answering&) = delete;
    Answering& operator=(const Answering&) = delete;
    Answering(Answering&&) = delete;
    Answering& operator=(Answering&&) = delete;

   private:
    Answerer& answerer_;
    int descriptor_;
  };

  [[nodiscard]] bool is_allowed(const httplib::Request& request) const {
    // A name that was made to lead here is another Host than the address.
    if (request.get_header_value_count("Host") != 1 || request.get_header_value("Host") != host_) {
      return false;
    }
    if (request.has_header("Origin") && request.get_header_value("Origin") != "http://" + host_) {
      return false;
    }
    const std::string_view path = request.path;
    const std::size_t end = config_.secret.size() + 1;
    return path.size() > end && path.front() == '/' && path[end] == '/' &&
           is_same_secret(path.substr(1, config_.secret.size()), config_.secret);
  }

  void route(const httplib::Request& request, httplib::Response& response) {
    response.status = kNotFound;
    if (!is_allowed(request)) {
      return;
    }
    const std::string name = request.path.substr(config_.secret.size() + 2);
    constexpr std::string_view kKey = "key/";
    if (config_.on_key && name.starts_with(kKey)) {
      response.status = request.method != "POST"                   ? kNoMethod
                        : config_.on_key(name.substr(kKey.size())) ? kNoContent
                                                                   : kGone;
    } else if (request.method != "GET") {
      response.status = kNoMethod;
    } else if (name == "states") {
      give_states(response);
    } else {
      give_file(name, response);
    }
  }

  void give_file(const std::string& name, httplib::Response& response) const {
    const auto file = std::find_if(config_.files.begin(),
                                   config_.files.end(),
                                   [&](const PageFile& one) { return one.name == name; });
    if (file != config_.files.end()) {
      response.status = httplib::Response().status;  // the library's own word for "good"
      response.set_content(file->content.data(), file->content.size(), std::string(file->type));
    }
  }

  void give_states(httplib::Response& response) {
    const auto seat = std::make_shared<Seat>(seats_);
    if (!seat->is_had()) {
      response.status = kBusy;
      return;
    }
    response.status = httplib::Response().status;
    response.set_content_provider(
        "text/event-stream",
        [this, seat, serial = board_.serial()](std::size_t, httplib::DataSink& sink) mutable {
          const auto state = board_.wait(serial);
          if (!state) {
            return false;
          }
          const std::string message = "data: " + *state + "\n\n";
          return sink.write(message.data(), message.size());
        });
  }

  const PageConfig& config_;
  std::string host_;
  StateBoard board_;
  std::atomic<int> seats_ = 0;
  std::mutex mutex_;
  std::set<int> answering_;
  bool is_over_ = false;
};

}  // namespace

struct PageServer::State {
  explicit State(PageConfig wanted)
      : config(std::move(wanted)), door(config.address), answerer(config, door.address().text()) {
    try {
      start();
    } catch (...) {
      end();  // or the threads that run already would be waited for without end
      throw;
    }
  }

  ~State() { end(); }

  void start() {
    for (int i = 0; i < kMostReaders + kAnswerers; ++i) {
      threads.emplace_back([this] {
        while (auto request = queue.take()) {
          answerer.answer(std::move(*request));
        }
      });
    }
    threads.emplace_back(
        [this] { door.run([this](WholeRequest request) { queue.put(std::move(request)); }); });
  }

  void end() {
    door.close();
    queue.end();
    answerer.end();
  }

  State(const State&) = delete;
  State& operator=(const State&) = delete;
  State(State&&) = delete;
  State& operator=(State&&) = delete;

  PageConfig config;
  RequestDoor door;
  RequestQueue queue;
  Answerer answerer;
  std::vector<std::jthread> threads;  // the last member: all have ended before the rest goes
};

PageServer::PageServer(PageConfig config) : state_(std::make_unique<State>(std::move(config))) {}

PageServer::~PageServer() = default;

const PageAddress& PageServer::address() const noexcept {
  return state_->door.address();
}

std::string PageServer::url() const {
  return "http://" + address().text() + "/" + state_->config.secret + "/";
}

int PageServer::readers() const noexcept {
  return state_->answerer.readers();
}

void PageServer::show(std::string state) {
  state_->answerer.board().show(std::move(state));
}

}  // namespace brink::io
