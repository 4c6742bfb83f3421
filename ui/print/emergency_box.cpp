#include "ui/print/emergency_box.h"

#include "core/eval/explain.h"
#include "ui/print/column.h"
#include "ui/print/map_frame.h"
#include "ui/style/type.h"

#include <QStringList>

#include <algorithm>
#include <array>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kPad_mm = 1.5;
constexpr double kNarrow_mm = 120;  // below this the parts stand in two columns

struct Part {
  QString title;
  QStringList lines;
};

QStringList linesOf(const std::string& words) {
  QStringList out = text(words).split(QLatin1Char('\n'), Qt::SkipEmptyParts);
  return out;
}

QString orBlank(const std::string& words) {
  return words.empty() ? QStringLiteral("__________________") : text(words);
}

std::array<Part, 4> partsOf(const HuntMapRequest& request, const Frame& frame) {
  const Document& d = *request.document;
  const EmergencyPlan& e = d.settings->emergency;
  Part meet{QStringLiteral("Meet helpers at"), {}};
  if (e.meeting) meet.lines << placeWords(frame, *e.meeting).split(QStringLiteral(" · "));
  if (!e.meeting || !e.meeting_words.empty()) meet.lines << orBlank(e.meeting_words);
  Part numbers{QStringLiteral("Numbers"), linesOf(e.numbers)};
  if (numbers.lines.isEmpty()) numbers.lines << orBlank({}) << orBlank({});
  Part who{QStringLiteral("Who sits where"), {}};
  for (const auto& f : d.of(Kind::stand)) {
    const std::string& sitter = f->as<StandAttrs>().sitter;
    if (!sitter.empty() && isChosen(request, f->uid))
      who.lines << text(sitter) + QStringLiteral(": ") + text(display_name(*f));
  }
  if (who.lines.isEmpty()) who.lines << orBlank({}) << orBlank({});
  const Part late{QStringLiteral("Due back"),
                  {orBlank(e.due_back), QStringLiteral("If late: ") + orBlank(e.call_if_late)}};
  return {meet, numbers, who, late};
}

// Fills a part's column; returns where it ends.
double fill(Page& page, const Part& part, double x, double y, double width) {
  Column c{page, x, y, width, y + 1e4};
  c.textBlock(part.title, kSmall_pt, softColour());
  c.y -= 0.5;
  for (const QString& line : part.lines) {
    c.textBlock(line, kBody_pt, inkColour(), true);
    c.y -= 0.5;
  }
  return c.y;
}

double lay(Page& page, const QRectF& box, const HuntMapRequest& request, const Frame& frame) {
  const auto parts = partsOf(request, frame);
  const size_t columns = box.width() / page.typeScale() < kNarrow_mm ? 2 : 4;
  const double width = (box.width() - kPad_mm) / static_cast<double>(columns);
  double y = box.top() + kPad_mm / 2, bottom = y;
  for (size_t i = 0; i < parts.size(); ++i) {
    if (i == columns) y = bottom + 0.8;
    const double x = box.left() + kPad_mm + width * static_cast<double>(i % columns);
    bottom = std::max(bottom, fill(page, parts[i], x, y, width - kPad_mm));
  }
  return bottom + kPad_mm / 2 - box.top();
}

}  // namespace

QString placeWords(const Frame& frame, LocalXY p) {
  const LonLat at = frame.to_wgs84(p);
  return QStringLiteral("USNG %1 · %2° %3, %4° %5")
      .arg(text(usng(at, 5)))
      .arg(std::abs(at.lat), 0, 'f', 5)
      .arg(at.lat >= 0 ? QStringLiteral("N") : QStringLiteral("S"))
      .arg(std::abs(at.lon), 0, 'f', 5)
      .arg(at.lon >= 0 ? QStringLiteral("E") : QStringLiteral("W"));
}

double emergencyHeightMm(const Page& page, const HuntMapRequest& request, const Frame& frame,
                         double width_mm) {
  return measured(page, [&](Page& unseen) {
    return lay(unseen, {0, 0, width_mm, 0}, request, frame);
  });
}

void drawEmergencyBox(Page& page, const QRectF& box_mm, const HuntMapRequest& request,
                      const Frame& frame) {
  lay(page, box_mm, request, frame);
  page.painter().setBrush(Qt::NoBrush);
  page.painter().setPen(QPen(inkColour(), page.dots(0.45)));
  page.painter().drawRect(page.rect(box_mm));
}

}  // namespace leeward::ui
