#include "ui/panels/icons.h"

#include "ui/style/palette.h"

#include <QFile>
#include <QIconEngine>
#include <QPainter>
#include <QSvgRenderer>

#include <map>
#include <memory>
#include <utility>

namespace leeward::ui {
namespace {

constexpr const char* kDrawnIn = "#1e2f29";  ///< What the files are stroked with.

QSvgRenderer& rendererOf(const QString& name, const QColor& ink) {
  static std::map<std::pair<QString, QRgb>, std::unique_ptr<QSvgRenderer>> kept;
  std::unique_ptr<QSvgRenderer>& found = kept[{name, ink.rgb()}];
  if (!found) {
    QFile file(QStringLiteral(":/leeward/icons/%1.svg").arg(name));
    [[maybe_unused]] const bool open = file.open(QIODevice::ReadOnly);
    Q_ASSERT(open);
    found = std::make_unique<QSvgRenderer>(file.readAll().replace(kDrawnIn, ink.name().toLatin1()));
  }
  return *found;
}

class Engine : public QIconEngine {
 public:
  explicit Engine(QString name) : name_(std::move(name)) {}
  void paint(QPainter* painter, const QRect& rect, QIcon::Mode mode, QIcon::State state) override {
    const Theme& t = theme();
    const bool pressed = state == QIcon::On && mode != QIcon::Disabled;
    drawIcon(*painter, name_, rect, mode == QIcon::Disabled ? t.faint : pressed ? t.sheet : t.ink);
  }
  QPixmap pixmap(const QSize& size, QIcon::Mode mode, QIcon::State state) override {
    QPixmap out(size);
    out.fill(Qt::transparent);
    QPainter painter(&out);
    paint(&painter, QRect(QPoint(0, 0), size), mode, state);
    return out;
  }
  QIconEngine* clone() const override { return new Engine(name_); }

 private:
  QString name_;
};

}  // namespace

QIcon icon(const QString& name) { return QIcon(new Engine(name)); }

QString iconName(Kind kind) { return QLatin1String(info(kind).table); }

void drawIcon(QPainter& painter, const QString& name, const QRectF& box, const QColor& ink) {
  const double side = std::min(box.width(), box.height());
  QRectF square(0, 0, side, side);
  square.moveCenter(box.center());
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  rendererOf(name, ink).render(&painter, square);
  painter.restore();
}

}  // namespace leeward::ui
