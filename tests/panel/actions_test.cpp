#include "panel/actions.h"

#include <doctest/doctest.h>

#include "support/paper.h"

using namespace brink;
using namespace brink::panel;

namespace {

Input pressed(std::initializer_list<Press> presses) {
  Input input;
  input.presses = presses;
  return input;
}

constexpr Press letter(char32_t character) {
  return {Key::kCharacter, character, false, false};
}

}  // namespace

TEST_CASE("an action is asked for by its letter in either case, and by nothing else") {
  Actions actions;
  actions.begin(pressed({letter(U'C')}), false);
  CHECK(actions.offer("C", "cuts out"));
  CHECK_FALSE(actions.offer("F", "flat"));
  actions.begin(pressed({letter(U'c')}), false);
  CHECK(actions.offer("C", "cuts out"));
  actions.begin(pressed({letter(U' ')}), false);
  CHECK(actions.offer("Space", "make this cut"));
  actions.begin(pressed({}), false);
  CHECK_FALSE(actions.offer("Space", "make this cut"));
}

TEST_CASE("letters that are typed into a field ask for nothing, but Escape still does") {
  Actions actions;
  actions.begin(pressed({letter(U'c'), {Key::kEscape, 0, false, false}}), true);
  CHECK_FALSE(actions.offer("C", "cuts out"));
  CHECK(actions.is_pressed(Key::kEscape));
}

TEST_CASE("a held letter asks once, held arrows step on") {
  Actions actions;
  Press repeated = letter(U'c');
  repeated.is_repeat = true;
  const Press up{Key::kUp, 0, false, false};
  const Press up_again{Key::kUp, 0, false, true};
  actions.begin(pressed({repeated, up, up_again, up_again}), false);
  CHECK_FALSE(actions.offer("C", "cuts out"));
  CHECK(actions.count_presses(Key::kUp) == 3);
  CHECK(actions.count_fresh_presses(Key::kUp) == 1);
}

TEST_CASE("a held key without a letter asks once, too") {
  Actions actions;
  const Press enter{Key::kEnter, 0, false, false};
  const Press enter_again{Key::kEnter, 0, false, true};
  actions.begin(pressed({enter, enter_again}), false);
  CHECK(actions.offer(Key::kEnter, "Enter", "lock the guess"));
  actions.begin(pressed({enter_again}), false);
  CHECK_FALSE(actions.offer(Key::kEnter, "Enter", "next ring"));
}

TEST_CASE("a click on the bar asks in the next pass, once") {
  tests::Paper paper(600.0F, 40.0F);
  Actions actions;
  const Rect bar{16.0F, 0.0F, 600.0F, 40.0F};
  const auto pass = [&](bool is_down) {
    ImGui::GetIO().MousePos = ImVec2(24.0F, 20.0F);
    ImGui::GetIO().MouseDown[0] = is_down;
    bool is_asked = false;
    paper.pass([&] {
      ImGui::Begin("bar");
      actions.begin({}, false);
      is_asked = actions.offer("C", "cuts out");
      actions.draw_bar(bar, paper.theme());
      ImGui::End();
    });
    return is_asked;
  };
  CHECK_FALSE(pass(false));
  CHECK_FALSE(pass(true));
  CHECK(pass(true));
  CHECK_FALSE(pass(true));
  CHECK_FALSE(pass(false));
}

TEST_CASE("what is pressed after the key that opened a text is text, even in the same pass") {
  Input input;
  for (const char32_t character : U"xa25") {
    if (character != 0) {
      input.presses.push_back({Key::kCharacter, character, false, false});
    }
  }
  Actions actions;
  actions.begin(input, false);
  const std::vector<Press> text = actions.take_after(U'A');
  REQUIRE(text.size() == 2);
  CHECK(text[0].character == U'2');
  CHECK(actions.is_pressed(U'x'));
  CHECK(!actions.is_pressed(U'2'));
  CHECK(actions.take_after(U'q').empty());
  CHECK(actions.is_pressed(U'x'));
}
