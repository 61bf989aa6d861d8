#pragma once

#include <optional>
#include <string>

#include "cli/command.h"
#include "io/book/book.h"

namespace brink::cli {

/// Adds one command below `brink book`. A new one: its function in a file of its own or of its
/// kin, its line in book.cpp.
using AddBookCommand = void (*)(CLI::App& book, Work& work);

void add_book_compare(CLI::App& book, Work& work);
void add_book_delete(CLI::App& book, Work& work);
void add_book_export(CLI::App& book, Work& work);
void add_book_import(CLI::App& book, Work& work);
void add_book_list(CLI::App& book, Work& work);
void add_book_merge(CLI::App& book, Work& work);
void add_book_check(CLI::App& book, Work& work);
void add_book_scores(CLI::App& book, Work& work);
void add_book_sheet(CLI::App& book, Work& work);
void add_book_show(CLI::App& book, Work& work);

/// Adds `--book` to a command.
void add_book_option(CLI::App& command, std::string& path);

/// The path to read from. Throws base::Error when no book is there.
[[nodiscard]] std::string book_to_read(const std::string& option);
/// The same for what lists all that there is: nothing, after saying so, when the user's own book
/// was not begun yet.
[[nodiscard]] std::optional<std::string> book_to_list(const std::string& option);
[[nodiscard]] std::string book_to_write(const std::string& option);

/// Keeps `action` and waits until it is on the disk. Throws base::Error, with nothing changed, when
/// that cannot be done.
void keep_now(const std::string& path, io::BookAction action);

}  // namespace brink::cli
