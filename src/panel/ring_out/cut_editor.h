#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "panel/pane.h"
#include "show/kept_target.h"
#include "show/ring_out/ring_out.h"

namespace brink::panel {

/// Changes a cut by the target's own steps, before it is logged or afterwards. Tab goes from the
/// proposal to the cuts in place; left and right choose centre, Q or depth; up and down step it,
/// digits type it; Enter takes it, Delete takes a cut out, Escape gives up.
class CutEditor {
 public:
  /// `ring`: the offered one whose proposal is edited first. Stays closed when there is nothing.
  void open(const show::RingOut& flow, std::optional<std::uint64_t> ring);

  [[nodiscard]] bool is_open() const noexcept { return !entries_.empty(); }

  [[nodiscard]] const cuts::Band& cut() const { return entries_[at_].cut; }

  void draw(const Rect& area, Context& context, show::RingOut& flow);

 private:
  struct Entry {
    std::optional<std::uint64_t> ring;  // nothing: a cut in place
    std::size_t index = 0;
    cuts::Band cut;
    std::string about;
  };

  void act(const Input& input, show::RingOut& flow);
  void press(const Press& press, show::RingOut& flow);
  void step(int steps, const show::RingOut& flow);
  void finish_typing(const show::RingOut& flow);
  void take(show::RingOut& flow);
  [[nodiscard]] std::string value_words(show::CutField field, cuts::Target::Kind kind) const;
  void draw_value(const Rect& area,
                  show::CutField field,
                  cuts::Target::Kind kind,
                  const Theme& theme) const;

  std::vector<Entry> entries_;
  std::size_t at_ = 0;
  show::CutField field_ = show::CutField::kDepth;
  std::string typed_;
  bool is_fresh_ = false;
};

}  // namespace brink::panel
