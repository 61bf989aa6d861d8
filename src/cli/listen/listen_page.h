#pragma once

#include <CLI/CLI.hpp>
#include <cstdint>
#include <map>
#include <string>

#include "desk/page/page_host.h"
#include "listen/session.h"
#include "show/live_rings.h"
#include "show/session_event.h"

namespace brink::cli {

/// --page and --page-new of the commands that serve the page for the hand.
struct PageOptions {
  bool is_wanted = false;
  desk::PageWish wish;
};

void add_page(CLI::App& command, PageOptions& options);

/// Says on stderr where the page is, on a terminal with its QR code.
void tell_page(const std::string& url, bool is_quiet);

/// What `brink listen` shows on the page: the rings that are heard, with the cuts of its events.
class ListenPage {
 public:
  /// Opens the page. Throws base::Error.
  ListenPage(const PageOptions& options, const show::ChannelNames& names, bool is_quiet);

  void hear(const show::SessionEvent& event);
  /// Shows what is new: several times a second.
  void follow(listen::Session& session);

 private:
  desk::PageHost host_;
  show::LiveRings rings_;
  std::map<std::uint64_t, std::string> cuts_;  // by LiveRing::id
};

}  // namespace brink::cli
