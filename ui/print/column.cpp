#include "ui/print/column.h"

#include "ui/style/palette.h"

namespace leeward::ui {

QColor inkColour() { return QColor::fromRgb(chrome::kInk); }
QColor softColour() { return QColor::fromRgb(chrome::kInkSoft); }

void Column::heading(const QString& words) {
  if (room() < page.lineHeightMm(kHead_pt) + page.lineHeightMm(kBody_pt)) return;
  page.line(x, y, width, words, kHead_pt, inkColour(), true);
  y += page.lineHeightMm(kHead_pt) + 0.4;
  page.rule(x, y - 0.2, x + width);
  y += 0.8;
}

bool Column::textBlock(const QString& words, double size_pt, QColor colour, bool bold) {
  const double need = page.paragraphHeightMm(width, words, size_pt, bold);
  const double used = page.paragraph(x, y, width, room(), words, size_pt, colour, bold);
  y += used + 0.6;
  return used >= need - 1e-6;
}

}  // namespace leeward::ui
