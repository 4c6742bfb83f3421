// SelectTool: selects; moves points, whole shapes and vertices; turns what has a facing; adds and
// removes vertices; deletes.
#pragma once

#include "ui/session/edit_session.h"
#include "ui/tools/hit_test.h"
#include "ui/tools/map_view.h"
#include "ui/tools/tool.h"

#include <QObject>

namespace leeward::ui {

class SelectTool : public QObject, public Tool {
  Q_OBJECT

 public:
  SelectTool(EditSession& session, MapView& map);
  bool press(const Pointer& p) override;
  void move(const Pointer& p, bool dragging) override;
  void release(const Pointer& p) override;
  void click(const Pointer& p) override;
  void doubleClick(const Pointer& p) override;
  bool key(const QKeyEvent& event) override;
  void paint(QPainter& painter) override;
  QCursor cursor() const override;
  QString hint() const override;

 signals:
  /// A drag that changes the document begins or ends.
  void dragChanged(bool dragging);

 private:
  enum class Grip { none, point, vertex, shape, facing };
  QPointF facingHandle(const Feature& f) const;
  void dragTo(const Pointer& p);
  void removeVertex(const Feature& f, VertexRef vertex);
  bool step(const char* verb, Feature changed, const char* key);

  EditSession& session_;
  MapView& map_;
  Grip grip_ = Grip::none;
  Grip hover_ = Grip::none;
  VertexRef vertex_;
  std::optional<VertexRef> active_;  ///< The vertex that Delete removes.
  Uid active_of_;
  LocalXY grabbed_;
  QPointF pressed_px_;
  bool moved_ = false;
  Feature before_;
};

/// The facing of a stand or camera; nullopt for other kinds.
std::optional<double> facingOf(const Feature& f);
void setFacing(Feature& f, double facing_deg);

}  // namespace leeward::ui
