#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "report/row_json.h"

namespace brink::report {

/// Calls `take` with the object on each line that is not blank. Throws base::Error with `name` and
/// the line's number when the line is not a JSON object or `take` throws. The message is the
/// sentence of the base::Error from `take`; in all other cases it is "is not what {writer} writes".
/// An empty text is refused too.
void for_each_json_line(std::string_view text,
                        const std::string& name,
                        const std::string& writer,
                        const std::function<void(const Json&)>& take);

}  // namespace brink::report
