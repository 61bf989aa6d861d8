#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/time_of_day.h"
#include "show/show_record.h"

namespace brink::report {

/// Where recordings belong.
struct MergeConfig {
  std::string venue;
  std::string show;
  std::string output;                      ///< name of the output; empty: the recording's file name
  std::optional<base::TimeOfDay> started;  ///< when the recording began
};

/// The key of the show that recordings of this venue and show make: always the same, so that what
/// is merged twice is there once.
[[nodiscard]] std::string merged_key(const std::string& venue, const std::string& show);

/// What `brink analyse --format json` wrote, as outputs: one for each recording and channel with
/// its rings as rounds still to be cut, named by the file without its folder, and by the channel
/// where there are several. Proposed cuts are the analysis's. Throws base::Error with `name` and
/// the line for anything else.
[[nodiscard]] std::vector<show::OutputRecord> parse_analysis(std::string_view text,
                                                             const std::string& name,
                                                             const MergeConfig& config);

/// The files that an analysis which parse_analysis() took is of, as it names them.
[[nodiscard]] std::vector<std::string> recordings_of(std::string_view text);

/// Throws base::Error when two of these recordings would be one output: two files of one name in
/// two folders.
void check_names_differ(const std::vector<std::string>& recordings);

/// Puts outputs into a show; one of the same name takes the place of the older.
void merge_outputs(show::ShowRecord& show, std::vector<show::OutputRecord> outputs);

}  // namespace brink::report
