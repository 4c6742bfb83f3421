// Undo and redo over versions. A version holds no pointers to refresh and needs no inverse code.
#pragma once

#include "core/model/document.h"

#include <string>
#include <vector>

namespace leeward {

class History {
 public:
  explicit History(Ref<Document> first) : entries_{{"Open", std::move(first), {}}} {}

  Ref<Document> now() const { return entries_[at_].document; }
  bool can_undo() const { return at_ > 0; }
  bool can_redo() const { return at_ + 1 < entries_.size(); }
  /// All steps of the session, the first being "Open"; those after at() are undone.
  size_t size() const { return entries_.size(); }
  size_t at() const { return at_; }
  const std::string& label(size_t i) const { return entries_[i].label; }
  /// Goes to the version after step `i`. REQUIRES: i < size().
  Ref<Document> go_to(size_t i);
  /// Name of the step that undo would take back, redo would bring again.
  std::string undo_label() const { return can_undo() ? entries_[at_].label : std::string{}; }
  std::string redo_label() const { return can_redo() ? entries_[at_ + 1].label : std::string{}; }

  /// Adds a version; drops what was undone. A merge_key equal to the last unsealed one replaces it.
  void push(std::string label, Ref<Document> next, std::string merge_key = {});
  /// The next push starts a new entry (mouse released).
  void seal() { entries_[at_].merge_key.clear(); }
  /// REQUIRES can_undo() / can_redo(). The returned version carries a fresh, larger revision.
  Ref<Document> undo();
  Ref<Document> redo();

 private:
  struct Entry {
    std::string label;
    Ref<Document> document;
    std::string merge_key;
  };
  Ref<Document> with_next_revision(const Entry& entry);
  std::vector<Entry> entries_;
  size_t at_ = 0;
  std::uint64_t last_revision_ = 0;
};

}  // namespace leeward
