#include "ui/session/edit_session.h"

#include <algorithm>
#include <cmath>

namespace leeward::ui {

EditSession::EditSession(Ref<Document> document) : history_(std::move(document)) { makeFrame(); }

EditSession::~EditSession() { store_.reset(); }

Result<std::unique_ptr<EditSession>> EditSession::open(const std::filesystem::path& file) {
  auto opened = io::PropertyStore::open(file);
  if (!opened) return std::move(opened.error());
  auto session = std::make_unique<EditSession>(opened->document);
  session->file_ = file;
  session->read_only_ = opened->read_only;
  session->notice_ = QString::fromStdString(opened->notice);
  session->adopt(std::move(opened->store));
  return session;
}

Result<std::unique_ptr<EditSession>> EditSession::create(const std::filesystem::path& file,
                                                         Document document) {
  Ref<Document> first = make_ref<Document>(std::move(document));
  auto store = io::PropertyStore::create(file, first);
  if (!store) return std::move(store.error());
  auto session = std::make_unique<EditSession>(std::move(first));
  session->file_ = file;
  session->adopt(*std::move(store));
  return session;
}

void EditSession::adopt(std::unique_ptr<io::PropertyStore> store) {
  store_ = std::move(store);
  store_->on_change([this](const io::SaveState&) {
    QMetaObject::invokeMethod(this, &EditSession::saveChanged, Qt::QueuedConnection);
  });
}

void EditSession::makeFrame() {
  const Ref<Document> doc = document();
  auto frame = Frame::make(doc->settings->crs);
  if (!frame) return;
  frame_.emplace(*std::move(frame));
  const Box extent = doc->extent();
  if (extent.empty()) return;
  const double convergence = frame_->convergence_deg(extent.centre());
  convergence_deg_ = std::isfinite(convergence) ? convergence : 0;
}

std::optional<Kind> EditSession::lockedKindIn(const EditStep& step) const {
  if (locked_.none()) return std::nullopt;
  const Ref<Document> doc = document();
  for (const Edit& edit : step.edits) {
    Ref<Feature> f;
    if (const auto* gone = std::get_if<Remove>(&edit)) {
      f = doc->find(gone->uid);
    } else if (const auto* row = std::get_if<Ref<Feature>>(&std::get<Put>(edit))) {
      f = *row;
    }
    if (f && isLocked(f->kind())) return f->kind();
  }
  return std::nullopt;
}

Status EditSession::apply(const EditStep& step) {
  if (read_only_) {
    const Error why = fail(ErrorCode::locked,
                           "This property is open read-only: save a copy under another name to "
                           "change it");
    emit refused(QString::fromStdString(why.message));
    return why;
  }
  if (const auto kind = lockedKindIn(step)) {
    const Error why = fail(ErrorCode::locked, std::string("The ") + info(*kind).plural +
                                                  " are locked: unlock them in the list first");
    emit refused(QString::fromStdString(why.message));
    return why;
  }
  auto next = leeward::apply(*document(), step);
  if (!next) {
    emit refused(QString::fromStdString(next.error().message));
    return std::move(next.error());
  }
  if (same_content(*next, *document())) return ok();
  history_.push(step.label, make_ref<Document>(*std::move(next)), step.merge_key);
  published();
  return ok();
}

void EditSession::published() {
  if (store_ && !read_only_) store_->save(document());
  if (convergence_deg_ == 0) makeFrame();  // the first feature gives the property a place
  emit documentChanged();
  std::vector<Uid> kept = selected_;
  std::erase_if(kept, [&](const Uid& uid) { return !document()->find(uid); });
  selectAll(std::move(kept));
  emit saveChanged();
}

void EditSession::undo() {
  if (!canUndo()) return;
  history_.undo();
  published();
}

void EditSession::redo() {
  if (!canRedo()) return;
  history_.redo();
  published();
}

QStringList EditSession::historyLabels() const {
  QStringList out;
  for (std::size_t i = 0; i < history_.size(); ++i) out << stepWords(history_.label(i));
  return out;
}

void EditSession::goTo(std::size_t step) {
  if (read_only_ || step >= history_.size() || step == history_.at()) return;
  history_.go_to(step);
  published();
}

bool EditSession::isSelected(const Uid& uid) const {
  return std::find(selected_.begin(), selected_.end(), uid) != selected_.end();
}

std::vector<Ref<Feature>> EditSession::selectedFeatures() const {
  std::vector<Ref<Feature>> out;
  for (const Uid& uid : selected_)
    if (auto f = document()->find(uid)) out.push_back(std::move(f));
  return out;
}

void EditSession::select(const Uid& uid) {
  selectAll(uid.empty() ? std::vector<Uid>{} : std::vector<Uid>{uid});
}

void EditSession::selectAll(std::vector<Uid> uids) {
  if (uids == selected_) return;
  selected_ = std::move(uids);
  selection_ = selected_.empty() ? Uid() : selected_.back();
  emit selectionChanged();
}

void EditSession::toggle(const Uid& uid) {
  std::vector<Uid> next = selected_;
  if (std::erase(next, uid) == 0) next.push_back(uid);
  selectAll(std::move(next));
}

QString EditSession::saveText() const {
  if (read_only_) return tr("Read-only");
  if (!store_) return tr("Not in a file");
  const io::SaveState state = store_->state();
  if (!state.problem.empty()) return tr("Not saved: %1").arg(QString::fromStdString(state.problem));
  return state.saved == state.asked ? tr("Saved") : tr("Saving");
}

bool EditSession::saveFails() const { return store_ && !store_->state().problem.empty(); }

Status EditSession::flush() { return store_ && !read_only_ ? store_->flush() : ok(); }

}  // namespace leeward::ui
