#pragma once

#include <string>
#include <vector>

#include "show/show_record.h"

namespace brink::panel {

/// What two visits to a venue tell about one output, one sentence each: what rang again, what is
/// new, what was quiet this time, and which cuts were not needed any more.
[[nodiscard]] std::vector<std::string> visit_words(const show::ShowRecord& before,
                                                   const show::ShowRecord& now,
                                                   const std::string& output);

}  // namespace brink::panel
