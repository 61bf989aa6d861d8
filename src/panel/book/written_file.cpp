#include "panel/book/written_file.h"

#include <fmt/format.h>

#include <cctype>
#include <filesystem>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/paths.h"
#include "io/whole_file.h"

namespace brink::panel {
namespace {

std::string free_path(const WrittenFile::Place& place) {
  const std::filesystem::path folder = io::to_path(place.folder);
  std::filesystem::path path =
      folder / io::to_path((place.stem.empty() ? "unnamed" : place.stem) + place.extension);
  std::error_code fault;
  for (int number = 2; std::filesystem::exists(path, fault); ++number) {
    path = folder / io::to_path(fmt::format("{}-{}{}", place.stem, number, place.extension));
  }
  return path.string();
}

}  // namespace

void WrittenFile::start(const Place& place,
                        std::function<std::string()> make,
                        std::function<void()> on_news) {
  if (writing_.is_busy()) {
    return;
  }
  is_forgotten_ = false;
  path_.clear();
  words_ = "Writing ...";
  writing_.start(
      [place, make = std::move(make)] {
        std::error_code fault;
        std::filesystem::create_directories(io::to_path(place.folder), fault);
        if (!place.folder.empty() && fault) {
          throw base::Error(fmt::format("The folder {} cannot be made: {}. Nothing was written.",
                                        base::printable(place.folder),
                                        fault.message()));
        }
        std::string path = free_path(place);
        io::WholeFile file(path);
        file.append(make());
        file.commit();
        return path;
      },
      std::move(on_news));
}

void WrittenFile::update() {
  std::string words;
  try {
    auto path = writing_.take();
    if (!path) {
      return;
    }
    path_ = std::move(*path);
    words = fmt::format("Written to {}", base::printable(path_));
  } catch (const base::Error& error) {
    words = error.what();
  }
  words_ = is_forgotten_ ? std::string() : std::move(words);
}

void WrittenFile::forget() noexcept {
  is_forgotten_ = true;
  path_.clear();
  words_.clear();
}

std::string file_stem(std::string_view text) {
  std::string stem;
  for (const char letter : text) {
    const auto byte = static_cast<unsigned char>(letter);
    if (byte < 128 && std::isalnum(byte) != 0) {
      stem += static_cast<char>(std::tolower(byte));
    } else if (!stem.empty() && stem.back() != '-') {
      stem += '-';
    }
  }
  while (!stem.empty() && stem.back() == '-') {
    stem.pop_back();
  }
  return stem;
}

}  // namespace brink::panel
