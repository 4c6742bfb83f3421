// DrawTool: draws one feature of a kind, corner by corner or freehand.
#pragma once

#include "ui/session/edit_session.h"
#include "ui/tools/map_view.h"
#include "ui/tools/sketch.h"
#include "ui/tools/tool.h"

#include <QObject>

namespace leeward::ui {

class DrawTool : public QObject, public Tool {
  Q_OBJECT

 public:
  DrawTool(EditSession& session, MapView& map, Kind kind);
  Kind kind() const { return kind_; }
  bool press(const Pointer& p) override;
  void move(const Pointer& p, bool dragging) override;
  void release(const Pointer& p) override;
  void click(const Pointer& p) override;
  void doubleClick(const Pointer& p) override;
  bool key(const QKeyEvent& event) override;
  void paint(QPainter& painter) override;
  QCursor cursor() const override { return Qt::CrossCursor; }
  QString hint() const override;
  void leave() override;

 signals:
  /// The feature is in the document and selected, or drawing was given up.
  void done();

 private:
  void finish(bool closed);
  bool pointOnly() const;
  bool closes() const;

  EditSession& session_;
  MapView& map_;
  Kind kind_;
  Sketch sketch_;
};

/// A name for a new feature of the kind ("Stand 4"), or empty for kinds that go unnamed.
std::string freshName(const Document& document, Kind kind);

}  // namespace leeward::ui
