#include "panel/book/sheet_file.h"

#include <filesystem>

#include "io/paths.h"
#include "sheet/sheet.h"

namespace brink::panel {

void write_sheet(WrittenFile& file,
                 const std::string& book_path,
                 const show::ShowRecord& show,
                 const std::function<void()>& on_news) {
  constexpr std::size_t kDayLength = 10;  // length of the date in an ISO 8601 time
  const auto folder = io::to_path(book_path).parent_path() / "sheets";
  file.start(
      {folder.string(),
       file_stem(show.started_at.substr(0, kDayLength) + ' ' + show.venue),
       ".html"},
      [show] { return sheet::sheet_html(show); },
      on_news);
}

}  // namespace brink::panel
