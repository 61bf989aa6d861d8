#include "loop/require.h"

#include <fmt/format.h>

#include "base/error.h"

namespace brink::loop {

void require(double value, double low, double high, const char* field, const char* unit) {
  if (!(value >= low && value <= high)) {
    throw base::Error{fmt::format("{} must be {:g} to {:g}{}{}; got {:g}.",
                                  field,
                                  low,
                                  high,
                                  *unit != '\0' ? " " : "",
                                  unit,
                                  value)};
  }
}

}  // namespace brink::loop
