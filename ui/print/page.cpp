#include "ui/print/page.h"

#include "ui/print/tone_pdf.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QPageSize>
#include <QTextLayout>

#include <algorithm>

namespace leeward::ui {
namespace {

constexpr double kMargin_mm = 10;
constexpr double kTitle_mm = 15;
constexpr double kGap_mm = 3;
constexpr double kRoomForNotes_mm = 165;  // a page with less has its notes apart
constexpr double kNotes_mm = 88;          // emergency box and columns of a tall page

QSizeF paperMm(const PrintLayout& layout) {
  switch (layout.paper) {
    case PaperSize::custom:
      return {layout.custom_width_mm, layout.custom_height_mm};
    case PaperSize::letter:
      return QPageSize(QPageSize::Letter).size(QPageSize::Millimeter);
    case PaperSize::legal:
      return QPageSize(QPageSize::Legal).size(QPageSize::Millimeter);
    case PaperSize::tabloid:
      return QPageSize(QPageSize::Tabloid).size(QPageSize::Millimeter);
    case PaperSize::a4:
      return QPageSize(QPageSize::A4).size(QPageSize::Millimeter);
    case PaperSize::a3:
      return QPageSize(QPageSize::A3).size(QPageSize::Millimeter);
  }
  return {215.9, 279.4};
}

}  // namespace

PageGeometry pageGeometry(const PrintLayout& layout, size_t stands, bool notes_apart) {
  PageGeometry g;
  const QSizeF upright = paperMm(layout);
  const double k = layout.large_type ? kLargeType : 1;
  g.landscape = layout.landscape;
  g.page_mm = layout.landscape ? upright.transposed() : upright;
  const double w = g.page_mm.width() - 2 * kMargin_mm, h = g.page_mm.height() - 2 * kMargin_mm;
  g.title = {kMargin_mm, kMargin_mm, w, kTitle_mm * k};
  const double top = g.title.bottom(), rest = h - g.title.height();
  g.notes_apart = notes_apart || layout.large_type || std::min(w, h) < kRoomForNotes_mm;
  const double lines = g.notes_apart && w <= kWideTable_mm * k ? 2 : 1;
  const double wanted = stands == 0 ? 0 : (6.5 + 3.4 * lines * static_cast<double>(stands)) * k;
  const double table = std::min(wanted, (lines > 1 ? 0.55 : g.notes_apart ? 0.4 : 0.3) * rest);
  if (g.notes_apart) {
    g.map = g.side = {kMargin_mm, top, w, rest};
    g.table = {kMargin_mm, top, w, table};
  } else if (layout.landscape) {
    const double side = std::min(82.0, 0.4 * w), below = table > 0 ? table + kGap_mm : 0;
    g.map = {kMargin_mm, top, w - side - kGap_mm, rest - below};
    g.side = {kMargin_mm + w - side, top, side, rest};
    g.table = {kMargin_mm, top + rest - table, w - side - kGap_mm, table};
  } else {
    const double side = std::min(table + kNotes_mm, 0.55 * rest);
    g.map = {kMargin_mm, top, w, rest - side - kGap_mm};
    g.side = {kMargin_mm, top + rest - side, w, side};
    g.table = {kMargin_mm, top + rest - side, w, table};
  }
  return g;
}

QRectF scaleCorner(QPointF lower_left, double k) {
  return {lower_left.x() + 3, lower_left.y() - 3 - 23 * k, 58 * k, 23 * k};
}

double Page::photoDotsPerMm() const {
  constexpr double kFinest = 300 / 25.4;
  return std::min(kFinest, seen_per_mm_.value_or(dots_per_mm_));
}

QImage Page::photo(const QImage& image) const {
  return seen_look_ == PrintLook::colour ? image : tonedPhotograph(image, seen_look_);
}

QFont Page::font(double size_pt, bool bold) const {
  return fontOfPixels(dots(type_scale_ * size_pt * 25.4 / 72),
                      bold ? QFont::DemiBold : QFont::Normal);
}

double Page::lineHeightMm(double size_pt) const { return 1.32 * type_scale_ * size_pt * 25.4 / 72; }

double Page::paragraphHeightMm(double width, const QString& words, double size_pt,
                               bool bold) const {
  QTextLayout layout(words, font(size_pt, bold), painter_.device());
  layout.beginLayout();
  double used = 0;
  for (;;) {
    QTextLine text_line = layout.createLine();
    if (!text_line.isValid()) break;
    text_line.setLineWidth(dots(width));
    used += lineHeightMm(size_pt);
  }
  layout.endLayout();
  return used;
}

double Page::widthMm(const QString& words, double size_pt, bool bold) const {
  return QFontMetricsF(font(size_pt, bold), painter_.device()).horizontalAdvance(words) / dots(1);
}

double Page::fittingPt(const QString& words, double size_pt, double width, bool bold) const {
  const double needed = widthMm(words, size_pt, bold);
  return needed <= width ? size_pt : size_pt * std::max(2.0 / 3, 0.99 * width / needed);
}

double Page::paragraph(double x, double y, double width, double max_mm, const QString& words,
                       double size_pt, QColor ink, bool bold) {
  QTextLayout layout(words, font(size_pt, bold), painter_.device());
  layout.beginLayout();
  const double step = lineHeightMm(size_pt);
  double used = 0;
  painter_.setPen(ink);
  std::vector<QTextLine> lines;
  for (;;) {
    QTextLine text_line = layout.createLine();
    if (!text_line.isValid()) break;
    text_line.setLineWidth(dots(width));
    if (used + step > max_mm + 1e-6) break;
    text_line.setPosition({0, dots(used)});
    lines.push_back(text_line);
    used += step;
  }
  layout.endLayout();
  for (const QTextLine& l : lines) l.draw(&painter_, at(x, y));
  return used;
}

void Page::line(double x, double y, double width, const QString& words, double size_pt, QColor ink,
                bool bold, Qt::Alignment align) {
  const QFont f = font(size_pt, bold);
  const QFontMetricsF metrics(f, painter_.device());
  painter_.setFont(f);
  painter_.setPen(ink);
  const QRectF box(dots(x), dots(y), dots(width), dots(lineHeightMm(size_pt)));
  painter_.drawText(box, static_cast<int>(align | Qt::AlignVCenter | Qt::TextSingleLine),
                    metrics.elidedText(words, Qt::ElideRight, box.width()));
}

void Page::rule(double x0, double y, double x1) {
  painter_.setPen(QPen(QColor::fromRgb(chrome::kInk), dots(0.18)));
  painter_.drawLine(at(x0, y), at(x1, y));
}

}  // namespace leeward::ui
