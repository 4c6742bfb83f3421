// ChangeLog: where a grid has changed from one to the next, so that what rests on a part of it
// needs no new run when it changes elsewhere, and a repair alone where it changed within.
#pragma once

#include "core/geo/cell_box.h"

#include <cstdint>
#include <deque>
#include <utility>
#include <vector>

namespace leeward {

/// What does not rest on how a change is told.
struct ChangeNumbers {
  using Number = std::uint64_t;
  /// Kept by whoever rests on a part of the grid; starts as it is.
  struct Watch {
    Number looked = 0, touched = 0;
    Number last_touched = 0, last_until = 0;  // touched before, and how long it was the last
  };
  /// What was right when `touched` was the watch's last is right up to there.
  static Number right_until(const Watch& watch, Number touched) {
    return touched == watch.last_touched ? watch.last_until : touched;
  }
};

/// Changes are numbered from 1 on, each a list of boxes, or of what is told of a box beside it.
/// THREADS: the const functions from any while nobody notes a change.
template <class Told>
class ChangeLogOf : public ChangeNumbers {
 public:
  /// The grid is another one, or changed in unknown places.
  void note_all() {
    changes_.clear();
    known_from_ = ++newest_;
  }
  /// It differs in these boxes alone from the one before.
  void note(std::vector<Told> boxes) {
    ++newest_;
    changes_.push_back(std::move(boxes));
    if (changes_.size() > kKept) changes_.pop_front(), ++known_from_;
  }

  /// Number of the last change; the grid is the same where it is.
  Number newest() const { return newest_; }
  /// Number of the last change that `reaches(box)`, as far as the watch was kept up: equal answers
  /// mean that nothing has changed in what is watched. One watch watches one part.
  template <class Reaches>
  Number touched(Watch& watch, Reaches reaches) const {
    const Number before = watch.touched;
    if (watch.looked < known_from_) {
      watch.touched = newest_;
    } else if (watch.looked < newest_) {
      each_since(watch.looked, [&](Number number, const Told& box) {
        if (watch.touched < number && reaches(box)) watch.touched = number;
      });
    }
    if (watch.touched != before) watch.last_touched = before, watch.last_until = watch.looked;
    watch.looked = newest_;
    return watch.touched;
  }
  /// Whether each_since(number) tells all.
  bool knows_since(Number number) const { return number >= known_from_; }
  /// visit(number, box) for all changes after that one, in their order.
  template <class Visit>
  void each_since(Number number, Visit visit) const {
    const Number first = newest_ - static_cast<Number>(changes_.size()) + 1;
    for (Number n = number < first ? first : number + 1; n <= newest_; ++n)
      for (const Told& box : changes_[static_cast<std::size_t>(n - first)]) visit(n, box);
  }
  std::vector<Told> boxes_since(Number number) const {
    std::vector<Told> out;
    each_since(number, [&](Number, const Told& box) { out.push_back(box); });
    return out;
  }

 private:
  static constexpr std::size_t kKept = 32;
  Number newest_ = 0, known_from_ = 0;
  std::deque<std::vector<Told>> changes_;  // up to the newest
};
using ChangeLog = ChangeLogOf<CellBox>;

}  // namespace leeward
