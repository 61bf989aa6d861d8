#pragma once

#include "listen/analysis.h"
#include "panel/recording/recording_memory.h"
#include "report/book/book_merge.h"
#include "show/show_record.h"

namespace brink::panel {

/// A recording as a show, as `brink book merge` makes one: an output for each channel, and a round
/// still to be cut for each ring of a place that is ticked. Notes go to the loudest ring of their
/// place, and to the outputs. Without a key.
[[nodiscard]] show::ShowRecord recording_show(const listen::Analysis& analysis,
                                              const RecordingWords& words,
                                              const report::MergeConfig& config);

}  // namespace brink::panel
