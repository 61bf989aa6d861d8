#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/ring_out.h"
#include "app/target_choice.h"
#include "panel/pane.h"

namespace brink::panel {

/// Changes a cut by the target's own steps, before it is logged or afterwards. Tab goes from the
/// proposal to the cuts in place; left and right choose centre, Q or depth; up and down step it,
/// digits type it; Enter takes it, Delete takes a cut out, Escape gives up.
class CutEditor {
 public:
  /// `ring`: the offered one whose proposal is edited first. Stays closed when there is nothing.
  void open(const app::RingOut& flow, std::optional<std::uint64_t> ring);

  [[nodiscard]] bool is_open() const noexcept { return !entries_.empty(); }

  [[nodiscard]] const io::CutRecord& cut() const { return entries_[at_].cut; }

  void draw(const Rect& area, Context& context, app::RingOut& flow);

 private:
  struct Entry {
    std::optional<std::uint64_t> ring;  // nothing: a cut in place
    std::size_t index = 0;
    io::CutRecord cut;
    std::string about;
  };

  void act(const Input& input, app::RingOut& flow);
  void press(const Press& press, app::RingOut& flow);
  void step(int steps, const app::RingOut& flow);
  void finish_typing(const app::RingOut& flow);
  void take(app::RingOut& flow);
  [[nodiscard]] std::string value_words(app::CutField field, cuts::Target::Kind kind) const;
  void draw_value(const Rect& area,
                  app::CutField field,
                  cuts::Target::Kind kind,
                  const Theme& theme) const;

  std::vector<Entry> entries_;
  std::size_t at_ = 0;
  app::CutField field_ = app::CutField::kDepth;
  std::string typed_;
  bool is_fresh_ = false;
};

}  // namespace brink::panel
