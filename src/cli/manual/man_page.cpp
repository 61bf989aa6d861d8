#include "cli/manual/man_page.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>
#include <sstream>

namespace brink::cli {
namespace {

/// Text as troff shows it: nothing of it is a command, and a minus can be copied to a shell.
std::string plain(const std::string& text) {
  std::string out;
  for (const char letter : text) {
    if (letter == '\\') {
      out += "\\e";
    } else if (letter == '-') {
      out += "\\-";
    } else {
      out += letter;
    }
  }
  const bool is_command = !out.empty() && (out.front() == '.' || out.front() == '\'');
  return is_command ? "\\&" + out : out;
}

std::string heading(const ManualOption& option) {
  std::string value = option.value.empty() ? "" : fmt::format("\\fI{}\\fR", plain(option.value));
  if (option.repeats) {
    value += " ...";
  }
  if (option.names.empty()) {
    return value;
  }
  std::vector<std::string> names;
  for (const std::string& name : option.names) {
    names.push_back(fmt::format("\\fB{}\\fR", plain(name)));
  }
  return fmt::format("{}{}{}", fmt::join(names, ", "), value.empty() ? "" : " ", value);
}

/// Whether the text, or the value's name, has all of the words already.
bool tells_words(const ManualOption& option) {
  const std::string told = option.text + " " + option.value;
  return std::all_of(option.words.begin(), option.words.end(), [&told](const std::string& word) {
    return told.find(word) != std::string::npos;
  });
}

std::string listed(const ManualOption& option) {
  std::string text = fmt::format(".TP\n{}\n{}", heading(option), plain(option.text));
  if (!tells_words(option)) {
    text += plain(fmt::format("; one of: {}", fmt::join(option.words, ", ")));
  }
  if (option.is_required && !option.names.empty()) {
    text += "; required";
  }
  if (!option.usual.empty()) {
    text += plain(fmt::format(" (when left out: {})", option.usual));
  }
  return text + "\n";
}

/// Options under the headings that the help has.
std::string listed(const std::vector<ManualOption>& options, const char* heading_macro) {
  std::string text;
  std::string group = options.empty() ? "" : options.front().group;
  for (const ManualOption& option : options) {
    if (option.group != group) {
      group = option.group;
      text += fmt::format(".{} {}\n", heading_macro, plain(group));
    }
    text += listed(option);
  }
  return text;
}

std::string usage(const ManualCommand& command) {
  std::string text = fmt::format("\\fB{}\\fR [\\fIOPTIONS\\fR]", plain(command.words));
  for (const ManualOption& argument : command.arguments) {
    const std::string name = heading(argument);
    text += argument.is_required ? " " + name : fmt::format(" [{}]", name);
  }
  if (!command.commands.empty()) {
    text += command.words == command.name ? " [\\fICOMMAND\\fR ...]" : " \\fICOMMAND\\fR ...";
  }
  return text + "\n";
}

/// What stands below a help: "Example:" with lines that are indented, then sentences.
std::string footer_text(const std::string& footer) {
  std::string text;
  std::istringstream lines(footer);
  bool is_example = false;
  for (std::string line; std::getline(lines, line);) {
    const bool is_indented = line.rfind("  ", 0) == 0;
    if (is_indented != is_example) {
      text += is_indented ? ".PP\n.nf\n.RS 4\n" : ".RE\n.fi\n";
      is_example = is_indented;
    }
    if (line.empty()) {
      text += ".PP\n";
    } else if (line != "Example:" && line != "Examples:") {
      text += plain(is_indented ? line.substr(2) : line) + "\n";
    }
  }
  return text + (is_example ? ".RE\n.fi\n" : "");
}

/// A command below the page's own, such as "brink book list".
std::string section(const ManualCommand& command) {
  return fmt::format(
             ".SS {}\n{}\n.PP\n{}", plain(command.words), plain(command.about), usage(command)) +
         listed(command.arguments, "PP\n") + listed(command.options, "PP\n") +
         (command.footer.empty() ? "" : ".PP\n" + footer_text(command.footer));
}

std::string summary(const ManualCommand& command) {
  std::string text = command.about.substr(0, command.about.find(". "));
  if (!text.empty() && text.back() == '.') {
    text.pop_back();
  }
  if (!text.empty()) {
    text.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(text.front())));
  }
  return text;
}

std::string see_also(const ManualCommand& command, const ManualCommand& top) {
  std::vector<std::string> pages;
  if (command.words != top.words) {
    pages.push_back(fmt::format("\\fB{}\\fR(1)", page_name(top)));
  } else {
    for (const ManualCommand& below : top.commands) {
      pages.push_back(fmt::format("\\fB{}\\fR(1)", plain(page_name(below))));
    }
  }
  return fmt::format("{}\n", fmt::join(pages, ",\n"));
}

}  // namespace

std::string page_name(const ManualCommand& command) {
  std::string name = command.words;
  std::replace(name.begin(), name.end(), ' ', '-');
  return name;
}

std::string man_page(const ManualCommand& command,
                     const ManualCommand& top,
                     const std::string& version) {
  std::string title = page_name(command);
  std::transform(title.begin(), title.end(), title.begin(), [](char letter) {
    return static_cast<char>(std::toupper(static_cast<unsigned char>(letter)));
  });
  std::string text =
      fmt::format(".TH {} 1 \"\" \"brink {}\" \"User commands\"\n", plain(title), version);
  text += fmt::format(".SH NAME\n{} \\- {}\n", plain(page_name(command)), plain(summary(command)));
  text += ".SH SYNOPSIS\n" + usage(command);
  text += ".SH DESCRIPTION\n" + plain(command.about) + "\n";
  if (!command.arguments.empty()) {
    text += ".SH ARGUMENTS\n" + listed(command.arguments, "SS");
  }
  text += ".SH OPTIONS\n" + listed(command.options, "SS");
  if (!command.commands.empty()) {
    text += ".SH COMMANDS\n";
    for (const ManualCommand& below : command.commands) {
      // The commands of brink have pages of their own; those below them do not.
      text +=
          command.words == top.words
              ? fmt::format(".TP\n\\fB{}\\fR(1)\n{}\n", plain(page_name(below)), plain(below.about))
              : section(below);
    }
  }
  if (!command.footer.empty()) {
    text += ".SH EXAMPLES\n" + footer_text(command.footer);
  }
  text +=
      ".SH EXIT STATUS\n0: done. 1: something rang (only where it was asked for). 2: bad input or "
      "use.\n";
  return text + ".SH SEE ALSO\n" + see_also(command, top);
}

}  // namespace brink::cli
