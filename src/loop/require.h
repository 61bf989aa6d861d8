#pragma once

namespace brink::loop {

/// Throws Error, "field must be low to high unit; got value.", unless the value is between the two
/// limits, both included. NaN throws.
void require(double value, double low, double high, const char* field, const char* unit = "");

}  // namespace brink::loop
