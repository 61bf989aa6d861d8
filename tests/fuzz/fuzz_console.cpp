// Any packets from a console to the link, while cuts are logged: brink never sets the fader, sends
// no number that the console does not have, and what it knows of the bands stays finite.
//
// The bytes are a course of events: see act().

#include <cmath>
#include <cstdint>
#include <map>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "cuts/link/link_talk.h"
#include "fuzz/fuzz.h"
#include "io/osc_message.h"
#include "support/simulated_console.h"

using namespace brink;
using fuzz::demand;

namespace {

class Course {
 public:
  Course() : target_(tests::linked_target()), talk_(target_), parts_(cuts::parts(target_.link)) {
    for (const cuts::LinkPart& part : parts_) {
      places_.emplace(cuts::control(target_.link, part).address, part);
    }
    talk_.set_open(true, now_s_);
  }

  void act(fuzz::Bytes& bytes) {
    const unsigned kind = bytes.take<std::uint8_t>() % 5U;
    if (kind == 0) {  // a packet, byte by byte
      const std::span<const std::uint8_t> packet = bytes.take_bytes(bytes.take<std::uint8_t>());
      hear(fuzz::to_text(packet.data(), packet.size()));
    } else if (kind == 1) {  // an answer with any number
      const cuts::LinkPart& part = parts_[bytes.take<std::uint8_t>() % parts_.size()];
      const io::OscValue value(bytes.take<float>());
      const std::vector<char> packet =
          io::osc_packet(cuts::control(target_.link, part).address, std::span(&value, 1));
      hear({packet.data(), packet.size()});
    } else if (kind == 2) {
      run(bytes.take<std::uint8_t>());
    } else if (kind == 3) {
      log(bytes);
    } else {
      talk_.set_open(bytes.take<std::uint8_t>() % 4U != 0, now_s_);
    }
  }

 private:
  void hear(std::string_view packet) {
    io::read_osc_packet(packet, [&](const std::string& address, const auto& values) {
      const auto place = places_.find(address);
      const auto* const number = values.empty() ? nullptr : std::get_if<float>(&values.front());
      if (place != places_.end() && number != nullptr) {
        talk_.hear(place->second, static_cast<double>(*number), now_s_);
      }
    });
  }

  void run(unsigned steps) {
    for (; steps > 0; --steps) {
      now_s_ += 0.01;
      for (const cuts::LinkMessage& message : talk_.due(now_s_)) {
        if (message.kind == cuts::LinkMessage::Kind::kSet) {
          demand(message.part.kind != cuts::LinkPart::Kind::kFader);
          demand(
              cuts::control(target_.link, message.part).scale.value_of(message.number).has_value());
        }
      }
      demand(std::isfinite(talk_.fader_db(now_s_).value_or(0.0)));
      demand(talk_.reports().size() <= cuts::LinkTalk::kMostReports);
    }
  }

  void log(fuzz::Bytes& bytes) {
    std::vector<cuts::Band> after;
    for (unsigned i = bytes.take<std::uint8_t>() % 6U; i > 0; --i) {
      after.push_back(cuts::Band{20.0 + bytes.take<std::uint16_t>() / 4.0,
                                 0.3 + bytes.take<std::uint8_t>() / 8.0,
                                 -0.5 - bytes.take<std::uint8_t>() / 16.0});
    }
    talk_.log(logged_, after);
    logged_ = after;
  }

  cuts::LinkedTarget target_;
  cuts::LinkTalk talk_;
  std::vector<cuts::LinkPart> parts_;
  std::map<std::string, cuts::LinkPart> places_;
  std::vector<cuts::Band> logged_;
  double now_s_ = 0.0;
};

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  constexpr int kMostEvents = 200;
  fuzz::Bytes bytes(std::span(data, size));
  Course course;
  for (int i = 0; i < kMostEvents && !bytes.is_over(); ++i) {
    course.act(bytes);
  }
  return 0;
}
