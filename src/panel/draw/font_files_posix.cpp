#include <fontconfig/fontconfig.h>

#include "panel/draw/font_files.h"

namespace brink::panel {
namespace {

/// The file of the font that is nearest to the pattern.
std::string find_font(const char* pattern_text) {
  std::string path;
  FcPattern* const pattern = FcNameParse(reinterpret_cast<const FcChar8*>(pattern_text));
  FcConfigSubstitute(nullptr, pattern, FcMatchPattern);
  FcDefaultSubstitute(pattern);
  FcResult result = FcResultNoMatch;
  FcPattern* const match = FcFontMatch(nullptr, pattern, &result);
  FcChar8* file = nullptr;
  if (match != nullptr && FcPatternGetString(match, FC_FILE, 0, &file) == FcResultMatch) {
    path = reinterpret_cast<const char*>(file);
  }
  if (match != nullptr) {
    FcPatternDestroy(match);
  }
  FcPatternDestroy(pattern);
  return path;
}

}  // namespace

FontFiles find_fonts() {
  return {find_font("Inter:weight=80"), find_font("Inter:weight=180")};
}

}  // namespace brink::panel
