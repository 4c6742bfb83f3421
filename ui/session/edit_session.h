// EditSession: the open property as the window knows it: the versions, the file behind them, and
// what is selected. Tools and panels hand it edits; nothing else changes a document.
#pragma once

#include "core/io/property_store.h"
#include "core/model/edit.h"
#include "core/model/history.h"
#include "ui/session/step_words.h"

#include <QObject>
#include <QString>
#include <QStringList>

#include <bitset>
#include <filesystem>
#include <memory>
#include <optional>
#include <vector>

namespace leeward::ui {

/// THREADS: the UI thread only. The store's callbacks are queued to it.
class EditSession : public QObject {
  Q_OBJECT

 public:
  /// In memory only (tests, and a property before it has a file).
  explicit EditSession(Ref<Document> document);
  ~EditSession() override;

  /// ERRORS: those of PropertyStore::open and create.
  static Result<std::unique_ptr<EditSession>> open(const std::filesystem::path& file);
  static Result<std::unique_ptr<EditSession>> create(const std::filesystem::path& file,
                                                     Document document);

  Ref<Document> document() const { return history_.now(); }
  const std::filesystem::path& file() const { return file_; }
  bool readOnly() const { return read_only_; }
  /// What opening had to say ("another window holds this file ..."), or empty.
  QString notice() const { return notice_; }

  /// Applies a step and queues it for saving. A refusal is also emitted as refused(). An edit that
  /// changes nothing is dropped.
  Status apply(const EditStep& step);
  /// Says something through told().
  void tell(const QString& words) { emit told(words); }
  /// Kinds that apply() refuses to change.
  void setLocked(std::bitset<kKindCount> kinds) { locked_ = kinds; }
  bool isLocked(Kind kind) const { return locked_[static_cast<std::size_t>(kind)]; }
  void seal() { history_.seal(); }
  bool canUndo() const { return !read_only_ && history_.can_undo(); }
  bool canRedo() const { return !read_only_ && history_.can_redo(); }
  QString undoLabel() const { return stepWords(history_.undo_label()); }
  QString redoLabel() const { return stepWords(history_.redo_label()); }
  void undo();
  void redo();
  /// Names of the session's steps, the first "Open"; those after historyAt() are undone.
  QStringList historyLabels() const;
  std::size_t historyAt() const { return history_.at(); }
  void goTo(std::size_t step);

  /// The feature that panels speak of: the one selected last. Empty: none.
  const Uid& selection() const { return selection_; }
  Ref<Feature> selected() const { return document()->find(selection_); }
  /// Everything selected, in the order of picking; selection() is its last.
  const std::vector<Uid>& selectedUids() const { return selected_; }
  bool isSelected(const Uid& uid) const;
  std::vector<Ref<Feature>> selectedFeatures() const;
  /// This feature alone; an empty uid: nothing.
  void select(const Uid& uid);
  void selectAll(std::vector<Uid> uids);
  /// Adds it to what is selected, or takes it out.
  void toggle(const Uid& uid);

  /// "Saved", "Saving", "Read-only", or why saving fails.
  QString saveText() const;
  bool saveFails() const;
  /// Waits for the disk. ERRORS: io.
  Status flush();

  /// Meridian convergence at the property's middle: grid north clockwise from true north, degrees.
  double convergenceDeg() const { return convergence_deg_; }
  /// nullptr when the document has no usable CRS.
  const Frame* frame() const { return frame_ ? &*frame_ : nullptr; }

 signals:
  void documentChanged();
  void selectionChanged();
  void saveChanged();
  void refused(const QString& why);
  /// Something was done otherwise than asked ("repaired ... into 2 pieces").
  void told(const QString& words);

 private:
  void adopt(std::unique_ptr<io::PropertyStore> store);
  void published();
  std::optional<Kind> lockedKindIn(const EditStep& step) const;
  void makeFrame();

  History history_;
  std::filesystem::path file_;
  bool read_only_ = false;
  QString notice_;
  std::bitset<kKindCount> locked_;
  Uid selection_;
  std::vector<Uid> selected_;
  std::optional<Frame> frame_;
  double convergence_deg_ = 0;
  std::unique_ptr<io::PropertyStore> store_;
};

}  // namespace leeward::ui
