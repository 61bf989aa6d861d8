#include "desk/reach_form.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "base/error.h"
#include "desk/reach_places.h"

using namespace brink;
using desk::ReachField;

namespace {

std::string refusal(desk::ReachForm& form, ReachField field, const char* text) {
  try {
    form.set(field, text);
  } catch (const base::Error& error) {
    return error.what();
  }
  return "";
}

double between(desk::Place a, desk::Place b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

}  // namespace

// Source: G. Ballou (ed.), Handbook for Sound Engineers, chapter 34, eqs 34-21 to 34-24: 11.7 dB to
// be had, 17.7 dB needed, in feet, indoors.
TEST_CASE("a form filled in value by value answers the handbook's example") {
  desk::ReachForm form;
  form.step(ReachField::kUnit, 1);
  form.step(ReachField::kRoom, 1);
  // On the way the distances do not meet; that hinders nobody from going on.
  form.set(ReachField::kTalkerToListener, "128");
  CHECK(form.fault().find("talker to listener cannot be 128") != std::string::npos);
  CHECK_FALSE(form.answer());
  form.set(ReachField::kMicrophoneToLoudspeaker, "45");
  form.set(ReachField::kLoudspeakerToListener, " 90 ");
  form.set(ReachField::kTalkerToMicrophone, "2,0");
  form.set(ReachField::kGoodHearing, "4");
  form.set(ReachField::kCriticalDistance, "31.2");
  form.set(ReachField::kOpenMicrophones, "3");
  REQUIRE(form.answer());
  // The handbook rounds each logarithm; the direct tests of loop::reach() keep to 0.1 dB as well.
  CHECK(form.answer()->potential_db == doctest::Approx(11.7).epsilon(0.01));
  CHECK(form.answer()->needed_db == doctest::Approx(17.7).epsilon(0.01));
  CHECK(report::reach_sentence(*form.answer()).find("It will feed back") == 0);
}

TEST_CASE("nonsense is refused with the field named, and nothing changes") {
  desk::ReachForm form;
  const std::string before = report::reach_text(form.question(), *form.answer());
  CHECK(refusal(form, ReachField::kTalkerToMicrophone, "near").find("talker to microphone") == 0);
  CHECK(refusal(form, ReachField::kTalkerToListener, "0").find("talker to listener") == 0);
  CHECK(refusal(form, ReachField::kLoudspeakerToListener, "1e9").find("loudspeaker to listener") !=
        std::string::npos);
  CHECK(
      refusal(form, ReachField::kMicrophoneToLoudspeaker, "-3").find("microphone to loudspeaker") !=
      std::string::npos);
  CHECK(refusal(form, ReachField::kGoodHearing, "nan").find("good hearing distance") == 0);
  CHECK(refusal(form, ReachField::kOpenMicrophones, "2.5").find("number of open microphones") == 0);
  CHECK(refusal(form, ReachField::kOpenMicrophones, "1e300").find("number of open microphones") !=
        std::string::npos);
  CHECK(refusal(form, ReachField::kMargin, "40").find("margin") == 0);
  CHECK(refusal(form, ReachField::kCriticalDistance, "-1").find("critical distance") == 0);
  CHECK(refusal(form, ReachField::kVolume, "").find("volume") == 0);
  CHECK(refusal(form, ReachField::kT60, "90").find("T60") == 0);
  CHECK(refusal(form, ReachField::kDirectivity, "0").find("directivity") == 0);
  REQUIRE(form.answer());
  CHECK(report::reach_text(form.question(), *form.answer()) == before);
}

TEST_CASE("steps go up and back down to where they began, and stay at the ends") {
  desk::ReachForm form;
  for (const ReachField field : form.fields()) {
    const std::string before = form.value_text(field);
    form.step(field, 1);
    CHECK(form.value_text(field) != before);
    form.step(field, -1);
    CHECK(form.value_text(field) == before);
  }
  form.step(ReachField::kTalkerToMicrophone, -100);
  CHECK(form.value_text(ReachField::kTalkerToMicrophone) == "0.05 m");
  form.step(ReachField::kOpenMicrophones, 100);
  CHECK(form.value_text(ReachField::kOpenMicrophones) == "64");
}

TEST_CASE("another unit is the same place in other figures") {
  desk::ReachForm form;
  form.step(ReachField::kRoom, 2);
  const loop::Reach in_metres = *form.answer();
  form.step(ReachField::kUnit, 1);
  CHECK(form.value_text(ReachField::kTalkerToListener) == "32.81 ft");
  // Hundredths of a foot on 0.3 m are 0.5 %, 0.05 dB; four distances and the room add up.
  CHECK(std::abs(form.answer()->spare_db - in_metres.spare_db) < 0.2);
  form.step(ReachField::kUnit, 1);
  CHECK(form.value_text(ReachField::kTalkerToListener) == "10 m");
}

TEST_CASE("every distance is true in the plan of the room") {
  const auto check_places = [](const loop::ReachSetup& setup) {
    const desk::ReachPlaces places = desk::reach_places(setup);
    // Rounding alone: 1e-6 of the longest distance.
    const double near = 1e-6 * (setup.talker_to_listener + setup.microphone_to_loudspeaker);
    CHECK(std::abs(between(places.talker, places.microphone) - setup.talker_to_microphone) < near);
    CHECK(std::abs(between(places.talker, places.listener) - setup.talker_to_listener) < near);
    CHECK(std::abs(between(places.microphone, places.loudspeaker) -
                   setup.microphone_to_loudspeaker) < near);
    CHECK(std::abs(between(places.loudspeaker, places.listener) - setup.loudspeaker_to_listener) <
          near);
  };
  // Each distance short, middling or long against the others: all that meet.
  int drawn = 0;
  for (int code = 0; code < 256; ++code) {
    const auto length = [code](int place) {
      static constexpr double kLengths[] = {0.3, 2.0, 7.0, 15.0};
      return kLengths[(code >> (2 * place)) & 3];
    };
    loop::ReachSetup setup;
    setup.talker_to_microphone = length(0);
    setup.talker_to_listener = length(1);
    setup.microphone_to_loudspeaker = length(2);
    setup.loudspeaker_to_listener = length(3);
    try {
      (void)loop::reach(setup);
    } catch (const base::Error&) {
      continue;
    }
    check_places(setup);
    ++drawn;
  }
  CHECK(drawn > 100);
}
