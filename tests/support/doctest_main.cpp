#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

int main(int argc, char** argv) {
  // Capture and playback start their own program again, with a word that says what for. A test
  // program cannot do that job. It must end at once, or it would run all tests again without end.
  if (argc > 1 && argv[1][0] != '-') {
    return 2;
  }
  return doctest::Context(argc, argv).run();
}
