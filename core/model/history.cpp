#include "core/model/history.h"

#include <algorithm>
#include <cassert>

namespace leeward {

void History::push(std::string label, Ref<Document> next, std::string merge_key) {
  last_revision_ = std::max(last_revision_, next->revision);
  entries_.resize(at_ + 1);
  if (at_ > 0 && !merge_key.empty() && entries_[at_].merge_key == merge_key) {
    entries_[at_].document = std::move(next);
    return;
  }
  entries_.push_back({std::move(label), std::move(next), std::move(merge_key)});
  ++at_;
}

Ref<Document> History::with_next_revision(const Entry& entry) {
  Document copy = *entry.document;
  last_revision_ = std::max(last_revision_, copy.revision) + 1;
  copy.revision = last_revision_;
  return make_ref<Document>(std::move(copy));
}

Ref<Document> History::undo() {
  assert(can_undo());
  seal();
  last_revision_ = std::max(last_revision_, now()->revision);
  --at_;
  return entries_[at_].document = with_next_revision(entries_[at_]);
}

Ref<Document> History::redo() {
  assert(can_redo());
  last_revision_ = std::max(last_revision_, now()->revision);
  ++at_;
  entries_[at_].merge_key.clear();
  return entries_[at_].document = with_next_revision(entries_[at_]);
}

Ref<Document> History::go_to(size_t i) {
  assert(i < entries_.size());
  while (at_ > i) undo();
  while (at_ < i) redo();
  return now();
}

}  // namespace leeward
