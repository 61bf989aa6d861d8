#pragma once

#include <string>

namespace brink::fuzz {

/// Each makes folders ROOT/TARGET with the first inputs of some fuzz targets. They are made of what
/// brink and the tests themselves write: no input comes from elsewhere. Throws when it cannot.
void make_sound_seeds(const std::string& root);
void make_detector_seeds(const std::string& root);
void make_text_seeds(const std::string& root);
void make_event_seeds(const std::string& root);

}  // namespace brink::fuzz
