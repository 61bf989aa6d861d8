#pragma once

#include <functional>
#include <string>

#include "panel/book/written_file.h"
#include "show/show_record.h"

namespace brink::panel {

/// Starts writing the sheet of a show into the folder `sheets` beside the book. The file is named
/// after day and venue.
void write_sheet(WrittenFile& file,
                 const std::string& book_path,
                 const show::ShowRecord& show,
                 const std::function<void()>& on_news);

}  // namespace brink::panel
