#include "io/live/pipewire_graph.h"

#include <pipewire/extensions/metadata.h>
#include <pipewire/pipewire.h>

#include <array>
#include <cerrno>
#include <optional>
#include <utility>

#include "io/live/pipewire_objects.h"

namespace brink::io {
namespace {

constexpr int kAnswerWithinS = 1;

}  // namespace

struct PipewireGraph::State {
  pw_thread_loop* loop = nullptr;
  pw_context* context = nullptr;
  pw_core* core = nullptr;
  pw_registry* registry = nullptr;
  std::vector<pw_proxy*> metadata;
  std::vector<pw_proxy*> made_links;
  spa_hook core_listener{};
  spa_hook registry_listener{};
  std::array<spa_hook, 2> metadata_listeners{};

  // For whoever holds the loop's lock.
  PipewireObjects objects;
  int answered = 0;
  std::atomic<bool> is_alive{true};

  ~State();
  [[nodiscard]] bool connect();
  [[nodiscard]] bool wait_for_answer();
  void add(std::uint32_t id, std::string_view type, const spa_dict* properties);
  void add_metadata(std::uint32_t id, const spa_dict* properties);
};

LoopLock::LoopLock(pw_thread_loop* loop) : loop_(loop) {
  pw_thread_loop_lock(loop_);
}

LoopLock::~LoopLock() {
  pw_thread_loop_unlock(loop_);
}

PipewireGraph::State::~State() {
  if (loop == nullptr) {
    return;
  }
  pw_thread_loop_stop(loop);
  for (pw_proxy* proxy : metadata) {
    pw_proxy_destroy(proxy);
  }
  for (pw_proxy* proxy : made_links) {
    pw_proxy_destroy(proxy);
  }
  if (registry != nullptr) {
    pw_proxy_destroy(reinterpret_cast<pw_proxy*>(registry));
  }
  if (core != nullptr) {
    pw_core_disconnect(core);
  }
  if (context != nullptr) {
    pw_context_destroy(context);
  }
  pw_thread_loop_destroy(loop);
}

bool PipewireGraph::State::connect() {
  pw_init(nullptr, nullptr);
  loop = pw_thread_loop_new("brink", nullptr);
  context = loop == nullptr ? nullptr : pw_context_new(pw_thread_loop_get_loop(loop), nullptr, 0);
  if (context == nullptr || pw_thread_loop_start(loop) != 0) {
    return false;
  }
  const LoopLock lock(loop);
  core = pw_context_connect(context, nullptr, 0);
  if (core == nullptr) {
    return false;
  }
  // Member by member: newer compilers warn of the members that a list leaves out.
  static constexpr pw_core_events kCoreEvents = [] {
    pw_core_events events{};
    events.version = PW_VERSION_CORE_EVENTS;
    events.done = [](void* state, std::uint32_t /*id*/, int /*sequence*/) {
      ++static_cast<State*>(state)->answered;
      pw_thread_loop_signal(static_cast<State*>(state)->loop, false);
    };
    events.error =
        [](void* state, std::uint32_t id, int /*sequence*/, int result, const char* /*text*/) {
          if (id == PW_ID_CORE && result == -EPIPE) {
            static_cast<State*>(state)->is_alive.store(false);
          }
        };
    return events;
  }();
  pw_core_add_listener(core, &core_listener, &kCoreEvents, this);
  registry = pw_core_get_registry(core, PW_VERSION_REGISTRY, 0);
  static constexpr pw_registry_events kRegistryEvents{
      .version = PW_VERSION_REGISTRY_EVENTS,
      .global =
          [](void* state,
             std::uint32_t id,
             std::uint32_t /*permissions*/,
             const char* type,
             std::uint32_t /*version*/,
             const spa_dict* properties) { static_cast<State*>(state)->add(id, type, properties); },
      .global_remove = [](void* state,
                          std::uint32_t id) { static_cast<State*>(state)->objects.remove(id); }};
  pw_registry_add_listener(registry, &registry_listener, &kRegistryEvents, this);
  // What is there comes with the first answer. The values of what was bound then come with the
  // second.
  return wait_for_answer() && wait_for_answer();
}

bool PipewireGraph::State::wait_for_answer() {
  const int before = answered;
  pw_core_sync(core, PW_ID_CORE, 0);
  while (answered == before && is_alive.load()) {
    if (pw_thread_loop_timed_wait(loop, kAnswerWithinS) != 0) {
      return false;
    }
  }
  return is_alive.load();
}

void PipewireGraph::State::add(std::uint32_t id,
                               std::string_view type,
                               const spa_dict* properties) {
  if (type == PW_TYPE_INTERFACE_Metadata) {
    add_metadata(id, properties);
  } else {
    objects.add(id, type, properties);
  }
}

void PipewireGraph::State::add_metadata(std::uint32_t id, const spa_dict* properties) {
  const std::string name = property_text(properties, PW_KEY_METADATA_NAME);
  if ((name != "default" && name != "settings") || metadata.size() == metadata_listeners.size()) {
    return;
  }
  auto* const proxy = static_cast<pw_proxy*>(
      pw_registry_bind(registry, id, PW_TYPE_INTERFACE_Metadata, PW_VERSION_METADATA, 0));
  static constexpr pw_metadata_events kEvents{.version = PW_VERSION_METADATA_EVENTS,
                                              .property = [](void* state,
                                                             std::uint32_t /*subject*/,
                                                             const char* key,
                                                             const char* /*type*/,
                                                             const char* value) {
                                                if (key != nullptr) {
                                                  static_cast<State*>(state)->objects.take_setting(
                                                      key, value);
                                                }
                                                return 0;
                                              }};
  pw_proxy_add_object_listener(proxy, &metadata_listeners.at(metadata.size()), &kEvents, this);
  metadata.push_back(proxy);
}

PipewireGraph::PipewireGraph(std::unique_ptr<State> state) : state_(std::move(state)) {}

PipewireGraph::~PipewireGraph() = default;

std::unique_ptr<PipewireGraph> PipewireGraph::find() {
  auto state = std::make_unique<State>();
  if (!state->connect()) {
    return nullptr;
  }
  return std::unique_ptr<PipewireGraph>(new PipewireGraph(std::move(state)));
}

std::vector<InputDevice> PipewireGraph::inputs() const {
  const LoopLock lock(state_->loop);
  return state_->objects.inputs();
}

bool PipewireGraph::is_alive() const noexcept {
  return state_->is_alive.load();
}

std::vector<std::string> PipewireGraph::source_ports(std::string_view id) const {
  const LoopLock lock(state_->loop);
  return state_->objects.source_ports(id);
}

bool PipewireGraph::has_port(std::string_view name) const {
  const LoopLock lock(state_->loop);
  return state_->objects.find_port(name).has_value();
}

int PipewireGraph::input_count(std::uint32_t node) const {
  const LoopLock lock(state_->loop);
  return state_->objects.input_count(node);
}

std::vector<Join> PipewireGraph::joins(std::uint32_t node) const {
  const LoopLock lock(state_->loop);
  return state_->objects.joins(node);
}

void PipewireGraph::make(std::uint32_t node, const Join& join) {
  const LoopLock lock(state_->loop);
  const auto from = state_->objects.find_port(join.source);
  const auto to = state_->objects.input_port(node, join.channel);
  if (!from || !to) {
    return;
  }
  const std::string output = std::to_string(*from);
  const std::string input = std::to_string(*to);
  const std::array<spa_dict_item, 2> items{spa_dict_item{PW_KEY_LINK_OUTPUT_PORT, output.c_str()},
                                           spa_dict_item{PW_KEY_LINK_INPUT_PORT, input.c_str()}};
  const spa_dict properties{.flags = 0, .n_items = items.size(), .items = items.data()};
  auto* const link = static_cast<pw_proxy*>(pw_core_create_object(
      state_->core, "link-factory", PW_TYPE_INTERFACE_Link, PW_VERSION_LINK, &properties, 0));
  if (link != nullptr) {
    state_->made_links.push_back(link);
  }
}

void PipewireGraph::undo(std::uint32_t node, const Join& join) {
  const LoopLock lock(state_->loop);
  const auto from = state_->objects.find_port(join.source);
  const auto to = state_->objects.input_port(node, join.channel);
  const auto link = from && to ? state_->objects.find_link(*from, *to) : std::nullopt;
  if (link) {
    pw_registry_destroy(state_->registry, *link);
  }
}

pw_core* PipewireGraph::core() const noexcept {
  return state_->core;
}

pw_thread_loop* PipewireGraph::loop() const noexcept {
  return state_->loop;
}

}  // namespace brink::io
