#include "panel/recording/folder_list.h"

#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "support/files.h"

using namespace brink;
using namespace brink::panel;

TEST_CASE("folders, then sound files, of the folder that the path lies in, as they begin") {
  const tests::TemporaryDirectory folder;
  for (const char* name : {"b.wav", "a.FLAC", "a2.aiff", "notes.txt", ".hidden.wav"}) {
    tests::write_bytes(folder / name, "x");
  }
  std::filesystem::create_directory(folder / "shows");
  const std::vector<FolderEntry> all{
      {"..", true}, {"shows", true}, {"a.FLAC", false}, {"a2.aiff", false}, {"b.wav", false}};
  CHECK(list_folder(folder / "").entries == all);
  const FolderList some = list_folder(folder / "a");
  CHECK(some.entries == std::vector<FolderEntry>{{"a.FLAC", false}, {"a2.aiff", false}});
  CHECK_FALSE(some.is_file);
  CHECK(list_folder(folder / "notes.txt").is_file);
  CHECK_FALSE(list_folder(folder / "shows").is_file);
}

TEST_CASE("what is not there is an empty list") {
  const tests::TemporaryDirectory folder;
  CHECK(list_folder(folder / "no/such/place").entries.empty());
  CHECK(list_folder(folder / "nothing").entries.empty());
  CHECK_FALSE(list_folder("").is_file);
}
