// PhotoView: a plain picture that can be zoomed, moved and marked.
#pragma once

#include <QImage>
#include <QWidget>

#include <vector>

namespace leeward::ui {

/// Positions are in pixels of the picture's file. The wheel and +/- zoom, dragging moves, a click
/// marks; the arrow keys move the cross hair (Shift: by single pixels) and Enter marks there.
class PhotoView : public QWidget {
  Q_OBJECT

 public:
  struct Mark {
    QPointF at;
    int number = 0;
    bool chosen = false;
  };
  explicit PhotoView(QWidget* parent = nullptr);
  /// `full`: size of the file, of which `image` may be a smaller copy.
  void setPicture(const QImage& image, QSize full);
  void setMarks(std::vector<Mark> marks);
  QSize sizeHint() const override { return {420, 420}; }

 signals:
  void marked(QPointF at);

 protected:
  void paintEvent(QPaintEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;
  void wheelEvent(QWheelEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;
  void mouseReleaseEvent(QMouseEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;

 private:
  void fit();
  void zoomAbout(QPointF px, double factor);
  QPointF toWidget(QPointF at) const { return at * scale_ + offset_; }
  QPointF toPicture(QPointF px) const { return (px - offset_) / scale_; }

  QImage image_;
  QSizeF full_;
  std::vector<Mark> marks_;
  double scale_ = 1;  // widget pixels a pixel of the file
  QPointF offset_;
  bool fitted_ = true;
  QPointF pressed_, last_;
  bool dragging_ = false;
  QPointF cross_;
  bool cross_shown_ = false;
};

}  // namespace leeward::ui
