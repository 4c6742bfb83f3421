// Sketch: the line or outline under the hand while a tool draws: corners, freehand, snapping,
// angles, typed lengths. It knows nothing of what is made of it.
#pragma once

#include "ui/session/edit_session.h"
#include "ui/tools/hit_test.h"
#include "ui/tools/map_view.h"
#include "ui/tools/tool.h"

#include <optional>

namespace leeward::ui {

/// A typed edge: "120" or "120/45" or "/45": length in display units, true bearing in degrees.
struct TypedEdge {
  std::optional<double> length_m;
  std::optional<double> true_deg;
};
/// Nothing when the text is no edge. Yards or metres by `units`.
std::optional<TypedEdge> parseEdge(const QString& text, UnitSystem units);

class Sketch {
 public:
  Sketch(EditSession& session, MapView& map, bool snaps);

  const Path& vertices() const { return vertices_; }
  bool empty() const { return vertices_.empty(); }
  const std::optional<LocalXY>& ahead() const { return ahead_; }
  bool drawsFreehand() const { return freehand_from_.has_value(); }
  bool typing() const { return !entry_.isEmpty(); }

  /// True when the press closes the outline: it stands on the first corner.
  bool press(const Pointer& p);
  void move(const Pointer& p, bool dragging);
  void release();
  /// Corners, lengths and what takes them back. True: used.
  bool key(const QKeyEvent& event);
  void clear();
  /// `closed`: the outline is drawn as an area.
  void paint(QPainter& painter, bool closed) const;

 private:
  LocalXY aim(const Pointer& p);
  LocalXY typedAim(LocalXY toward) const;
  LocalXY angled(LocalXY toward) const;
  void addVertex(LocalXY at);
  bool typeKey(const QKeyEvent& event);
  QString measure(bool closed) const;

  EditSession& session_;
  MapView& map_;
  bool snaps_;
  Path vertices_;
  std::optional<LocalXY> ahead_;  ///< Where the next vertex would stand.
  std::optional<Snap> snap_;
  QString entry_;
  LocalXY pointer_;
  QPointF pressed_px_;
  bool pressed_ = false;
  std::optional<std::size_t> freehand_from_;  ///< First vertex of what is drawn by dragging.
};

}  // namespace leeward::ui
