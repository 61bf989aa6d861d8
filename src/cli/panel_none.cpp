#include "cli/command.h"

// In place of panel.cpp where brink is built without a window.
namespace brink::cli {

void add_panel(CLI::App&, Work&) {}

Work open_panel() {
  return {};
}

}  // namespace brink::cli
