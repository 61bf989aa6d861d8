#pragma once

namespace brink::loop {

/// Throws Error, "field must be low to high unit; got value.", unless the value lies between the
/// two. A value that is not a number does not.
void require(double value, double low, double high, const char* field, const char* unit = "");

}  // namespace brink::loop
