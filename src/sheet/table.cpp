#include "sheet/table.h"

#include <fmt/format.h>

#include <utility>

#include "sheet/text.h"

namespace brink::sheet {
namespace {

constexpr std::size_t kMostRowsWhole = 20;

std::string class_of(const SheetColumn& column) {
  std::string names;
  const auto add = [&](bool wants, const char* name) {
    if (wants) {
      names += (names.empty() ? "" : " ") + std::string(name);
    }
  };
  add(column.is_left, "l");
  add(column.is_main, "main");
  add(column.is_full, "full");
  return names.empty() ? "" : fmt::format(R"( class="{}")", names);
}

}  // namespace

SheetTable::SheetTable(std::string_view caption, std::vector<SheetColumn> columns, bool is_tight)
    : caption_(caption), columns_(std::move(columns)), is_tight_(is_tight) {
  columns_.front().is_left = true;
}

void SheetTable::add(const std::vector<std::string>& cells) {
  rows_ += "<tr role=\"row\">";
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    if (i == 0) {
      rows_ += fmt::format(R"(<th scope="row" role="rowheader" class="l" data-label="{}">{}</th>)",
                           markup_safe(columns_[i].name),
                           cells[i]);
    } else {
      rows_ += fmt::format(R"(<td role="cell"{} data-label="{}">{}</td>)",
                           class_of(columns_[i]),
                           markup_safe(columns_[i].name),
                           cells[i]);
    }
  }
  rows_ += "</tr>\n";
  ++count_;
}

std::string SheetTable::finish() && {
  std::string head;
  for (const SheetColumn& column : columns_) {
    head += fmt::format(R"(<th scope="col" role="columnheader"{}>{}</th>)",
                        column.is_left ? R"( class="l")" : "",
                        markup_safe(column.name));
  }
  return fmt::format(
      "<table role=\"table\" class=\"{}{}\">\n<caption>{}</caption>\n"
      "<thead role=\"rowgroup\"><tr role=\"row\">{}</tr></thead>\n"
      "<tbody role=\"rowgroup\">\n{}</tbody>\n</table>\n",
      is_tight_ ? "tight" : "cards",
      count_ <= kMostRowsWhole ? " whole" : "",
      caption_,
      head,
      rows_);
}

}  // namespace brink::sheet
