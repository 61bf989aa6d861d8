// In an executable of its own: it stands in for the allocator of all of it.
#include <doctest/doctest.h>

#include <cstdlib>
#include <new>
#include <vector>

#include "loop/programme.h"
#include "loop/room.h"
#include "loop/stage.h"

namespace {

int allocation_count = 0;

}  // namespace

void* operator new(std::size_t size) {
  ++allocation_count;
  if (void* const memory = std::malloc(size)) {
    return memory;
  }
  throw std::bad_alloc{};
}

// Not inlined: seen beside a new that is not, free() would be warned of.
[[gnu::noinline]] void operator delete(void* memory) noexcept {
  std::free(memory);
}

[[gnu::noinline]] void operator delete(void* memory, std::size_t) noexcept {
  std::free(memory);
}

using namespace brink::loop;

TEST_CASE("a running stage allocates nothing, whatever is moved on it") {
  RoomConfig room;
  place_wedge(room, 1.5, 120.0);
  StageConfig config;
  config.response = room_response(room);
  config.moved_response = room_response(room);
  config.listener_response = room_response(room);
  config.tap = Tap::kListener;
  config.plan.gain_db = ramp(-40.0, 10.0, 0.0, 2.0);
  config.plan.position = ramp(0.0, 1.0, 0.0, 2.0);
  config.plan.equaliser = {{0.5, {brink::base::Biquad{}}}};
  Stage stage{config};
  std::vector<Programme> programmes;
  for (const ProgrammeKind kind : {ProgrammeKind::kSilence,
                                   ProgrammeKind::kPinkNoise,
                                   ProgrammeKind::kVoice,
                                   ProgrammeKind::kMusic}) {
    ProgrammeConfig programme;
    programme.kind = kind;
    programmes.emplace_back(programme);
  }
  std::vector<float> block(480);
  std::vector<float> tap(480);
  const std::vector<brink::base::Biquad> sections(Equaliser::kMostSections);
  allocation_count = 0;
  const std::vector<int> seen_by_the_counter(3);
  CHECK(allocation_count == 1);  // it does count
  allocation_count = 0;
  for (int step = 0; step < 300; ++step) {
    programmes[static_cast<std::size_t>(step % 4)].fill(block);
    stage.set_fader_db(step % 7);
    (void)stage.set_equaliser(sections);
    stage.process(block, tap);
  }
  CHECK(allocation_count == 0);
}
