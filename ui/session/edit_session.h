// EditSession: the open property as the window knows it: the versions, the file behind them, and
// what is selected. Tools and panels hand it edits; nothing else changes a document.
#pragma once

#include "core/io/property_store.h"
#include "core/model/edit.h"
#include "core/model/history.h"

#include <QObject>
#include <QString>

#include <filesystem>
#include <memory>
#include <optional>

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
  void seal() { history_.seal(); }
  bool canUndo() const { return !read_only_ && history_.can_undo(); }
  bool canRedo() const { return !read_only_ && history_.can_redo(); }
  QString undoLabel() const { return QString::fromStdString(history_.undo_label()); }
  QString redoLabel() const { return QString::fromStdString(history_.redo_label()); }
  void undo();
  void redo();

  const Uid& selection() const { return selection_; }
  Ref<Feature> selected() const { return document()->find(selection_); }
  void select(const Uid& uid);

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

 private:
  void adopt(std::unique_ptr<io::PropertyStore> store);
  void published();
  void makeFrame();

  History history_;
  std::filesystem::path file_;
  bool read_only_ = false;
  QString notice_;
  Uid selection_;
  std::optional<Frame> frame_;
  double convergence_deg_ = 0;
  std::unique_ptr<io::PropertyStore> store_;
};

}  // namespace leeward::ui
