#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

int main(int argc, char** argv) {
  // What captures or plays starts its own program anew, with a word that says as what. A test
  // program is no such child: it must end at once, or it would run all tests again, and again.
  if (argc > 1 && argv[1][0] != '-') {
    return 2;
  }
  return doctest::Context(argc, argv).run();
}
