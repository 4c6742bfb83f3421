// A canvas over the small property, worked by mouse and keys.
#pragma once

#include "tests/support/small_property.h"
#include "ui/canvas/map_canvas.h"
#include "ui/tools/draw_tool.h"
#include "ui/tools/select_tool.h"

#include <QTest>

#include <gtest/gtest.h>

namespace leeward::ui {

class Canvas : public ::testing::Test {
 protected:
  Canvas() : session_(make_ref<Document>(testing::small_property())), select_(session_, canvas_) {
    canvas_.resize(800, 800);
    canvas_.show();
    QObject::connect(&session_, &EditSession::documentChanged,
                     [this] { canvas_.setDocument(session_.document()); });
    QObject::connect(&session_, &EditSession::selectionChanged,
                     [this] { canvas_.setSelection(session_.selection()); });
    canvas_.setDocument(session_.document());
    canvas_.fitAll();
    canvas_.setTool(&select_);
  }
  ~Canvas() override { canvas_.setTool(nullptr); }

  QPoint px(LocalXY p) const { return canvas_.transform().toDevice(p).toPoint(); }
  void click(LocalXY p, Qt::KeyboardModifiers m = {}) {
    QTest::mouseClick(&canvas_, Qt::LeftButton, m, px(p));
  }
  void drag(LocalXY from, LocalXY to, int steps = 6) {
    QTest::mousePress(&canvas_, Qt::LeftButton, {}, px(from));
    for (int i = 1; i <= steps; ++i)
      QTest::mouseMove(&canvas_, px(from + (to - from) * (static_cast<double>(i) / steps)));
    QTest::mouseRelease(&canvas_, Qt::LeftButton, {}, px(to));
  }
  double metresPerPx() const { return canvas_.transform().metresPerPx(); }
  std::size_t count(Kind kind) const { return session_.document()->of(kind).size(); }

  EditSession session_;
  MapCanvas canvas_;
  SelectTool select_;
};

}  // namespace leeward::ui
