#pragma once

#include <cstdint>
#include <vector>

#include "show/show_record.h"

namespace brink::io {

class Statements;

/// How the sweeps of an output lie in the tables; inside a transaction of the caller.
/// SQLite::Exception may leave.
void write_sweeps(Statements& statements,
                  std::int64_t output_id,
                  const std::vector<show::SweepRecord>& sweeps);
[[nodiscard]] std::vector<show::SweepRecord> read_sweeps(Statements& statements,
                                                         std::int64_t output_id);

}  // namespace brink::io
