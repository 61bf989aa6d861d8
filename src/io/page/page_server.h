#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "io/page/page_address.h"

namespace brink::io {

/// A part of the page that does not change.
struct PageFile {
  std::string_view name;  ///< as the page names it; empty: the page itself
  std::string_view type;
  std::string_view content;
};

struct PageConfig {
  PageAddress address;
  std::string secret;           ///< as new_page_secret() makes it
  std::vector<PageFile> files;  ///< names and contents must outlive the server
  /// A reader pressed the key of that name. True when the key was taken; what became of it is for
  /// the state to say. Called on the server's threads. Empty: readers have no keys.
  std::function<bool(const std::string& key)> on_key;
};

/// Serves a page in the local network, by HTTP without encryption: the files, and a stream of
/// states (server-sent events, W3C) under the name "states"; keys are posts to "key/NAME". Whatever
/// does not carry the secret, or the right Host, or comes from a page of another origin, gets the
/// same empty 404. Request bodies are never read.
///
/// Each reader of states is written to by a thread of its own, and always gets the newest state.
/// One that does not take a state within kPatienceS is closed. Neither the other readers nor show()
/// ever wait for it.
class PageServer {
 public:
  static constexpr int kMostReaders = 8;
  static constexpr double kPatienceS = 2.0;

  /// Serves from now on. Throws base::Error when the address cannot be had.
  explicit PageServer(PageConfig config);
  /// Closes every connection, within moments.
  ~PageServer();
  PageServer(const PageServer&) = delete;
  PageServer& operator=(const PageServer&) = delete;
  PageServer(PageServer&&) = delete;
  PageServer& operator=(PageServer&&) = delete;

  [[nodiscard]] const PageAddress& address() const noexcept;
  /// What a reader types or scans, secret included.
  [[nodiscard]] std::string url() const;

  /// How many read the states now.
  [[nodiscard]] int readers() const noexcept;

  /// What readers get next: one line of text. A reader that comes later waits for the next call.
  /// Never waits; while a reader takes the last state this one is dropped. [one thread]
  void show(std::string state);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::io
