#include "support/simulated_console.h"

#include <algorithm>
#include <cmath>

namespace brink::tests {

using cuts::LinkMessage;
using cuts::LinkPart;
using Kind = cuts::LinkPart::Kind;

SimulatedConsole::SimulatedConsole(const cuts::LinkedTarget& target,
                                   const Network& network,
                                   std::uint64_t seed)
    : target_(target), network_(network), random_(seed), parts_(cuts::parts(target.link)) {
  for (const LinkPart& part : parts_) {
    const double value = part.kind == Kind::kFader       ? -10.0
                         : part.kind == Kind::kFrequency ? 1000.0
                         : part.kind == Kind::kQ         ? 2.0
                                                         : 0.0;
    numbers_.push_back(cuts::control(target.link, part).scale.number_of(value));
  }
}

double& SimulatedConsole::number(const LinkPart& part) {
  return numbers_.at(
      static_cast<std::size_t>(std::find(parts_.begin(), parts_.end(), part) - parts_.begin()));
}

double SimulatedConsole::value(const LinkPart& part) const {
  const auto at = std::find(parts_.begin(), parts_.end(), part) - parts_.begin();
  return cuts::control(target_.link, part)
      .scale.value_of(numbers_.at(static_cast<std::size_t>(at)))
      .value();
}

void SimulatedConsole::set_by_hand(const LinkPart& part, double value) {
  number(part) = cuts::control(target_.link, part).scale.number_of(value);
}

std::vector<cuts::Cut> SimulatedConsole::bands() const {
  std::vector<cuts::Cut> cuts;
  for (std::size_t band = 0; band < target_.link.bands.size(); ++band) {
    cuts.push_back(
        {value({Kind::kFrequency, band}), value({Kind::kQ, band}), value({Kind::kDepth, band})});
  }
  return cuts;
}

void SimulatedConsole::post(Packet packet, double now_s) {
  std::uniform_real_distribution<double> chance(0.0, 1.0);
  std::uniform_real_distribution<double> way_s(network_.shortest_s, network_.longest_s);
  if (chance(random_) < network_.loss_ratio) {
    return;
  }
  packet.arrives_s = now_s + way_s(random_);
  on_the_way_.push_back(packet);
  if (chance(random_) < network_.double_ratio) {
    packet.arrives_s = now_s + way_s(random_);
    on_the_way_.push_back(packet);
  }
}

void SimulatedConsole::take(const LinkMessage& message, double now_s) {
  post({0.0, true, message}, now_s);
}

void SimulatedConsole::run(double now_s, const OnChange& on_change, const OnAnswer& on_answer) {
  std::stable_sort(on_the_way_.begin(), on_the_way_.end(), [](const Packet& a, const Packet& b) {
    return a.arrives_s < b.arrives_s;
  });
  while (!on_the_way_.empty() && on_the_way_.front().arrives_s <= now_s) {
    const Packet packet = on_the_way_.front();
    on_the_way_.erase(on_the_way_.begin());
    const LinkPart part = packet.message.part;
    if (!packet.is_to_console) {
      on_answer(part, packet.message.number);
    } else if (is_on && packet.message.kind == LinkMessage::Kind::kSet) {
      const auto before = bands();
      number(part) = round_to_ > 0.0 ? std::round(packet.message.number / round_to_) * round_to_
                                     : packet.message.number;
      ++sets_;
      on_change(before, bands(), now_s);
    } else if (is_on && packet.message.kind == LinkMessage::Kind::kAsk) {
      post({0.0, false, {LinkMessage::Kind::kSet, part, number(part)}}, now_s);
    }
  }
}

const char* linked_target_text() {
  return "name = Lantern 24, wedge 1\n"
         "kind = parametric\n"
         "bands = 4\n"
         "q = 0.7:10\n"
         "deepest = -15\n"
         "high_pass = 40:400\n"
         "link = osc\n"
         "console = 127.0.0.1:9000\n"
         "fader = /out/1/level\n"
         "fader_scale = table 0:-90 0.25:-30 0.5:-10 0.75:0 1:10\n"
         "band_frequency = /out/1/eq/<1>/hz\n"
         "band_frequency_scale = logarithmic 0:1 is 20:20000\n"
         "band_q = /out/1/eq/<1>/q\n"
         "band_q_scale = logarithmic 0:1 is 20:0.3\n"
         "band_depth = /out/1/eq/<1>/db\n"
         "band_depth_scale = linear 0:1 is -15:15\n";
}

cuts::LinkedTarget linked_target(const std::string& text) {
  return cuts::linked_target(cuts::parse_target(text, "hall.txt")).value();
}

}  // namespace brink::tests
