#pragma once

#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "io/page/page_server.h"
#include "report/page/page_state.h"

namespace brink::desk {

/// How the page is asked for.
struct PageWish {
  std::string where;      ///< as io::to_page_address(); empty: io::choose_page_address()
  bool is_new = false;    ///< another secret than before
  bool has_keys = false;  ///< readers may press the keys of a PageView
};

/// The page for the hand, as a face serves it: opened and closed by the user, and shown what the
/// face shows while somebody reads. [one face thread]
class PageHost {
 public:
  /// As often as the map is drawn there; more costs a telephone's battery.
  static constexpr std::chrono::milliseconds kPause{100};

  /// `secret_path`: page_secret_path(). `on_news`: called on other threads when take_key() has one.
  PageHost(std::string secret_path, std::function<void()> on_news);
  ~PageHost();
  PageHost(const PageHost&) = delete;
  PageHost& operator=(const PageHost&) = delete;
  PageHost(PageHost&&) = delete;
  PageHost& operator=(PageHost&&) = delete;

  /// Serves the page from now on. Throws base::Error, and serves none then.
  void open(const PageWish& wish);
  void close();

  [[nodiscard]] bool is_open() const noexcept { return server_ != nullptr; }

  /// While it is open.
  [[nodiscard]] const std::string& url() const noexcept { return url_; }

  [[nodiscard]] int readers() const noexcept;

  /// Somebody reads, and what was shown last is old enough.
  [[nodiscard]] bool is_due() const;
  void show(const report::PageView& view);

  /// A key that a reader pressed since the last call: the PageKey::name.
  [[nodiscard]] std::optional<std::string> take_key();

 private:
  struct Keys;
  std::string secret_path_;
  std::function<void()> on_news_;
  std::shared_ptr<Keys> keys_;
  std::unique_ptr<io::PageServer> server_;
  std::string url_;
  std::chrono::steady_clock::time_point shown_;
};

}  // namespace brink::desk
