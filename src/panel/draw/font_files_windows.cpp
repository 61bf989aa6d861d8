#include <filesystem>
#include <initializer_list>

#include "io/paths.h"
#include "io/process.h"
#include "panel/draw/font_files.h"

namespace brink::panel {
namespace {

/// The first of them that is there: beside the program, or the system's own.
std::string first_of(std::initializer_list<const char*> names) {
  const auto own = io::to_path(io::this_program()).parent_path() / "fonts";
  for (const char* const name : names) {
    for (const auto& folder : {own, std::filesystem::path("C:/Windows/Fonts")}) {
      std::error_code none;
      if (std::filesystem::is_regular_file(folder / name, none)) {
        return (folder / name).string();
      }
    }
  }
  return {};
}

}  // namespace

FontFiles find_fonts() {
  return {first_of({"Inter-Regular.otf", "segoeui.ttf", "tahoma.ttf"}),
          first_of({"Inter-SemiBold.otf", "seguisb.ttf", "tahomabd.ttf"})};
}

}  // namespace brink::panel
