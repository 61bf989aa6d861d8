#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/live/inputs.h"
#include "io/live/joins.h"

struct spa_dict;

namespace brink::io {

/// What a PipeWire server has, by its own numbers: nodes, their ports, the links between ports, and
/// two of its settings. It asks nobody; whoever hears of an object adds it. [one at a time]
class PipewireObjects {
 public:
  /// `type`: PW_TYPE_INTERFACE_Node, _Port or _Link; others are left out.
  void add(std::uint32_t id, std::string_view type, const spa_dict* properties);
  void remove(std::uint32_t id);
  /// A value of the server's metadata "default" or "settings"; nullptr: none.
  void take_setting(std::string_view key, const char* value);

  /// As PipewireGraph::inputs().
  [[nodiscard]] std::vector<InputDevice> inputs() const;
  /// As PipewireGraph::source_ports().
  [[nodiscard]] std::vector<std::string> source_ports(std::string_view id) const;
  /// The output port with this name, as Join has it.
  [[nodiscard]] std::optional<std::uint32_t> find_port(std::string_view name) const;
  [[nodiscard]] int input_count(std::uint32_t node) const;
  /// The port of the node's input `channel`, from 0.
  [[nodiscard]] std::optional<std::uint32_t> input_port(std::uint32_t node, int channel) const;
  [[nodiscard]] std::vector<Join> joins(std::uint32_t node) const;
  [[nodiscard]] std::optional<std::uint32_t> find_link(std::uint32_t output_port,
                                                       std::uint32_t input_port) const;

 private:
  struct Node {
    std::string name;  ///< unique, and the same after a device was unplugged and plugged again
    std::string description;  ///< as the desktop shows it
    bool is_source = false;
    bool is_sink = false;
  };

  struct Port {
    std::uint32_t node = 0;
    int number = 0;  ///< its place among the node's ports of that direction
    std::string name;
    bool is_output = false;
  };

  struct Link {
    std::uint32_t output_port = 0;
    std::uint32_t input_port = 0;
  };

  static constexpr double kUsualRateHz = 48000.0;  // PipeWire's own when nothing is set

  [[nodiscard]] static Node to_node(const spa_dict* properties);
  [[nodiscard]] std::vector<std::pair<int, std::uint32_t>> ports_of(std::uint32_t node,
                                                                    bool is_output) const;
  [[nodiscard]] std::string name_of(const Port& port) const;
  void add_inputs(bool are_monitors, std::vector<InputDevice>& inputs) const;

  std::map<std::uint32_t, Node> nodes_;
  std::map<std::uint32_t, Port> ports_;
  std::map<std::uint32_t, Link> links_;
  std::string default_source_;
  double rate_hz_ = kUsualRateHz;
};

/// A property's text; empty when there is none.
[[nodiscard]] std::string property_text(const spa_dict* properties, const char* key);

}  // namespace brink::io
