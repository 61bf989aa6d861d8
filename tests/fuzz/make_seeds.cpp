// Writes the seed inputs of the fuzz targets: make_seeds DIRECTORY makes a folder in it for each.

#include <exception>
#include <iostream>
#include <string>

#include "fuzz/seeds.h"

int main(int argc, char** argv) {
  if (argc != 2) {
    return 2;
  }
  const std::string root = argv[1];
  try {
    brink::fuzz::make_sound_seeds(root);
    brink::fuzz::make_detector_seeds(root);
    brink::fuzz::make_text_seeds(root);
    brink::fuzz::make_event_seeds(root);
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
  return 0;
}
