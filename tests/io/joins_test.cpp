#include "io/live/joins.h"

#include <doctest/doctest.h>

#include <set>

using namespace brink;
using io::Join;
using io::WantedJoins;

namespace {

/// A graph as a sound server would show it.
struct Graph {
  std::set<std::string> ports;
  std::vector<Join> joins;

  WantedJoins::Work look(WantedJoins& wanted) {
    return wanted.look(joins, [&](const std::string& name) { return ports.count(name) > 0; });
  }
};

const Join kMic{0, "mic:out"};
const Join kDesk{1, "desk:out 2"};
constexpr int kLooksOfASecond = 50;

}  // namespace

TEST_CASE("a source that left is joined again when its port is back, however long it took") {
  Graph graph{{"mic:out", "desk:out 2"}, {kMic, kDesk}};
  WantedJoins wanted;
  CHECK(graph.look(wanted).make.empty());
  CHECK(wanted.is_joined());
  graph.joins = {kDesk};  // a client's joins go a moment before its ports
  CHECK(graph.look(wanted).make.empty());
  graph.ports = {"desk:out 2"};
  for (int look = 0; look < kLooksOfASecond; ++look) {
    CHECK(graph.look(wanted).make.empty());
  }
  CHECK(wanted.is_joined());  // by the other one
  graph.joins.clear();
  graph.ports.clear();
  CHECK(graph.look(wanted).make.empty());
  CHECK_FALSE(wanted.is_joined());
  graph.ports = {"mic:out"};
  CHECK(graph.look(wanted).make == std::vector<Join>{kMic});
  graph.joins = {kMic};
  CHECK(graph.look(wanted).make.empty());
  CHECK(wanted.is_joined());
}

TEST_CASE("a join that a hand took away while its port stays is forgotten") {
  Graph graph{{"mic:out"}, {kMic}};
  WantedJoins wanted;
  (void)graph.look(wanted);
  graph.joins.clear();
  for (int look = 0; look < kLooksOfASecond; ++look) {
    CHECK(graph.look(wanted).make.empty());
  }
  CHECK(wanted.all().empty());
  CHECK(wanted.is_joined());  // nothing is missed
  graph.ports.clear();
  (void)graph.look(wanted);
  graph.ports = {"mic:out"};
  CHECK(graph.look(wanted).make.empty());
}

TEST_CASE("remembered joins replace those that a server makes by itself, and later ones are kept") {
  Graph graph{{"mic:out", "desk:out 2"}, {kMic}};
  WantedJoins wanted({kDesk});
  const WantedJoins::Work work = graph.look(wanted);
  CHECK(work.make == std::vector<Join>{kDesk});
  CHECK(work.undo == std::vector<Join>{kMic});
  graph.joins = {kDesk, kMic};  // a hand joins the other one again
  CHECK(graph.look(wanted).undo.empty());
  CHECK(wanted.all() == std::vector<Join>{kDesk, kMic});
}

TEST_CASE("joins survive the way to the next process, with any letters in a port's name") {
  const std::vector<Join> joins{{0, "USB desk: left 1"}, {63, "\xC3\xA9t\xC3\xA9:out"}};
  CHECK(io::joins_from_lines(io::to_lines(joins)) == joins);
  CHECK(io::joins_from_lines("").empty());
}
