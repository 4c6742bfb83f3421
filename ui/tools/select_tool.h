// SelectTool: selects one or many; moves points, whole shapes, vertices and gaps; turns what has a
// facing; adds and removes vertices; deletes. Trails that meet stay joined.
#pragma once

#include "core/model/operations.h"
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
  enum class Grip { none, vertex, shapes, facing, gap, box };
  /// The one selected feature that shows its handles; nullptr when none or many are selected.
  Ref<Feature> handled() const;
  QPointF facingHandle(const Feature& f) const;
  std::optional<std::size_t> gapAt(const Feature& f, QPointF px) const;
  /// What a press at `px` would grip of the handled feature.
  Grip handleAt(QPointF px);
  void dragTo(const Pointer& p);
  void dragGap(const Pointer& p);
  void pickInBox();
  void cycle(const Pointer& p);
  void removeVertex(const Feature& f, VertexRef vertex);
  void nudge(LocalXY by);
  MayFollow followers(bool joined) const;
  bool step(const char* verb, std::vector<Edit> edits, const char* key);
  void paintHandles(QPainter& painter, const Feature& f) const;

  EditSession& session_;
  MapView& map_;
  Grip grip_ = Grip::none;
  Grip hover_ = Grip::none;
  VertexRef vertex_;
  std::size_t gap_ = 0;
  std::optional<VertexRef> active_;  ///< The vertex that Delete removes.
  Uid active_of_;
  LocalXY grabbed_;
  QPointF pressed_px_;
  QRectF box_;
  std::optional<Snap> snap_;
  QPointF clicked_px_{-100, -100};
  bool moved_ = false;
  bool fresh_ = false;  ///< This press selected what it grips.
  Ref<Document> before_ = make_ref<Document>();
};

/// The facing of a stand or camera; nullopt for other kinds.
std::optional<double> facingOf(const Feature& f);
void setFacing(Feature& f, double facing_deg);

}  // namespace leeward::ui
