#pragma once

#include "cli/command.h"

namespace brink::cli {

/// `brink target`, an AddCommand.
void add_target(CLI::App& app, Work& work);

}  // namespace brink::cli
