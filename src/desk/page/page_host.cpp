#include "desk/page/page_host.h"

#include <mutex>
#include <utility>

#include "desk/page/kept_secret.h"
#include "report/page/page_files.h"

namespace brink::desk {

/// The key that waits for the face. One is enough: whoever presses another before the face has
/// looked was too fast.
struct PageHost::Keys {
  std::mutex mutex;
  std::optional<std::string> waiting;
};

PageHost::PageHost(std::string secret_path, std::function<void()> on_news)
    : secret_path_(std::move(secret_path)),
      on_news_(std::move(on_news)),
      keys_(std::make_shared<Keys>()) {}

PageHost::~PageHost() = default;

void PageHost::open(const PageWish& wish) {
  close();
  io::PageConfig config;
  config.address = wish.where.empty() ? io::choose_page_address(io::local_addresses())
                                      : io::to_page_address(wish.where);
  config.secret = keep_page_secret(secret_path_, std::chrono::system_clock::now(), wish.is_new);
  config.files = report::page_files();
  if (wish.has_keys) {
    config.on_key = [keys = keys_, on_news = on_news_](const std::string& name) {
      {
        const std::lock_guard lock(keys->mutex);
        if (keys->waiting) {
          return false;
        }
        keys->waiting = name;
      }
      if (on_news) {
        on_news();
      }
      return true;
    };
  }
  server_ = std::make_unique<io::PageServer>(std::move(config));
  url_ = server_->url();
  shown_ = {};
}

void PageHost::close() {
  server_.reset();
  url_.clear();
  keys_ = std::make_shared<Keys>();
}

int PageHost::readers() const noexcept {
  return server_ ? server_->readers() : 0;
}

bool PageHost::is_due() const {
  return readers() > 0 && std::chrono::steady_clock::now() - shown_ >= kPause;
}

void PageHost::show(const report::PageView& view) {
  if (server_) {
    // Steps of kPause on the average, although the face comes when it has news.
    const auto now = std::chrono::steady_clock::now();
    shown_ = now - shown_ < 2 * kPause ? shown_ + kPause : now;
    server_->show(report::page_state_json(view));
  }
}

std::optional<std::string> PageHost::take_key() {
  const std::unique_lock lock(keys_->mutex, std::try_to_lock);
  return lock ? std::exchange(keys_->waiting, std::nullopt) : std::nullopt;
}

}  // namespace brink::desk
