#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "show/channel_names.h"

namespace brink::cli {

/// What an option's number must be: from `lowest` to `highest`, and so never NaN or infinite. For
/// double and int (a whole number). The refusal: "--delay: 'nan' is no number from 1
/// to 500".
template <typename Number>
[[nodiscard]] CLI::Validator number_in(Number lowest, Number highest);

/// One of these words. words_of() tells them to the manual and the completions.
[[nodiscard]] CLI::Validator one_of(const std::vector<std::string>& words);

/// The words of an option that takes one_of(); none for another option.
[[nodiscard]] std::vector<std::string> words_of(CLI::Option& option);

/// Any number but NaN and infinity, where what it is taken for says its range.
[[nodiscard]] CLI::Validator finite_number();

/// Any whole number of 64 bits without a sign.
[[nodiscard]] CLI::Validator seed_number();

/// --sure P, of the commands that find rings.
void add_sure(CLI::App& command, double& sure);

/// --names FILE, of the commands that listen to several channels.
void add_names(CLI::App& command, std::string& path);
/// Reads it; no names for no file. Throws base::Error.
[[nodiscard]] show::ChannelNames read_names(const std::string& path);

/// Refuses the empty name, which no file, venue or show has.
[[nodiscard]] CLI::Validator not_empty();

}  // namespace brink::cli
