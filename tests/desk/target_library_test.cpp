#include "desk/target_library.h"

#include <doctest/doctest.h>

#include <filesystem>

#include "base/error.h"
#include "show/kept_target.h"
#include "support/files.h"

using namespace brink;

TEST_CASE("the shelf has the targets at hand, then the user's own files, faulty ones with why") {
  const tests::TemporaryDirectory directory;
  const std::string folder = desk::targets_folder(directory / "settings.json");
  CHECK(folder == directory / "targets");
  const std::size_t at_hand = cuts::built_in_targets().size();
  CHECK(desk::shelf_targets(folder).size() == at_hand);  // no such folder yet
  CHECK(desk::shelf_targets("").size() == at_hand);

  std::filesystem::create_directory(folder);
  tests::write_bytes(folder + "/monitor desk.txt", "kind = parametric\nbands = 3\n");
  tests::write_bytes(folder + "/broken.txt", "kind = parametric\nbands = many\n");
  tests::write_bytes(folder + "/notes.md", "no target, and not offered as one");
  const auto shelf = desk::shelf_targets(folder);
  REQUIRE(shelf.size() == at_hand + 2);
  CHECK(shelf[0].name_or_path == "parametric");
  CHECK(shelf[at_hand].fault.find("broken.txt") != std::string::npos);
  CHECK(shelf[at_hand].fault.find("line 2") != std::string::npos);
  CHECK(shelf[at_hand + 1].fault.empty());
  CHECK(shelf[at_hand + 1].target.name == "monitor desk");
  CHECK(shelf[at_hand + 1].target.bands == 3);

  // Faces choose by name: a second target of a name would never be had.
  tests::write_bytes(folder + "/octave.txt", "kind = parametric\nbands = 3\n");
  CHECK(desk::shelf_targets(folder).back().fault.find("named octave already") != std::string::npos);
}

TEST_CASE("what the book keeps of a chosen target gives it back") {
  const tests::TemporaryDirectory directory;
  const std::string path = directory / "side.txt";
  tests::write_bytes(path, "kind = parametric\nbands = 3\ndeepest = -9\n");
  const cuts::Target own = desk::load_target(path);
  const cuts::Target kept = show::to_target(own.source_text);
  CHECK(kept.name == "side");
  CHECK(kept.deepest_db == -9.0);
  CHECK(kept.source_text == own.source_text);
}
