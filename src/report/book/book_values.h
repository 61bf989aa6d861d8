#pragma once

#include <string>

#include "show/guess_record.h"
#include "show/show_record.h"

namespace brink::report {

/// What no show can hold: frequencies, Qs, levels and times that are none, whoever wrote them.
/// Empty: all is well; else one clause that names the place, the field, the value and what it may
/// be: "output 'wedge 1', round 2: frequency_hz is -5, not 0 to 96000". A number that is 0 and a
/// time that is empty are not known.
[[nodiscard]] std::string fault_in(const show::OutputRecord& output);
[[nodiscard]] std::string fault_in(const show::ShowRecord& show);
[[nodiscard]] std::string fault_in(const show::GuessRecord& guess);

}  // namespace brink::report
