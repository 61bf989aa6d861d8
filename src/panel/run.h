#pragma once

#include <functional>
#include <string>

#include "desk/page/page_host.h"

namespace brink::panel {

struct RunOptions {
  std::string input;    ///< device to listen to, as `brink listen --input`; empty: the stage
  std::string target;   ///< cuts are fitted to it: a name or a file; empty: the one chosen last
  std::string names;    ///< what the channels are called, as ChannelNames::text(); empty: as last
  std::string book;     ///< the book's file; empty: where it always is
  float scale = 0.0F;   ///< of the interface, 1 to 3; 0: what the monitor asks for
  desk::PageWish page;  ///< how the page for a telephone is served
  bool opens_page = false;  ///< at once, without its key
  std::string state_file;   ///< what is shown, as JSON, kept up to date; empty: not written
  bool replaces = false;    ///< the user's --replace for that file
  std::string pictures;     ///< folder that F12 writes into
  std::function<bool()> is_asked_to_end;  ///< the window then closes as by its own button
};

/// Opens the window and returns when it is closed. Throws base::Error when there is no display,
/// or the state file may not be written.
void run(const RunOptions& options);

}  // namespace brink::panel
