#pragma once

#include <vector>

#include "io/page/page_server.h"

namespace brink::report {

/// The page for the hand as the browser gets it: page.html, page.css and page.js of this folder,
/// which are put into the program when it is built.
[[nodiscard]] std::vector<io::PageFile> page_files();

}  // namespace brink::report
