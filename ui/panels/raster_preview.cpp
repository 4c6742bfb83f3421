#include "ui/panels/raster_preview.h"

#include "core/geo/frame.h"
#include "ui/render/labels.h"
#include "ui/style/type.h"

#include <QPainter>

#include <algorithm>
#include <cmath>

namespace leeward::ui {

RasterLook look_at_raster(const std::filesystem::path& path, CrsId crs, bool heights,
                          std::stop_token stop) {
  constexpr int kSide_px = 400;
  RasterLook out;
  out.path = path;
  const std::string name = path.filename().string();
  auto facts = io::inspect_raster(path, crs);
  if (!facts) {
    out.problem = facts.error().message;
  } else if (!facts->georeferenced) {
    out.problem = name +
                  " does not say where it lies: leave it out here and tie it to the ground later "
                  "(File, Tie a plain picture to the ground)";
  } else if (!facts->has_crs) {
    out.problem = name + " names no coordinate system; a GIS can add it";
  } else if (heights && facts->bands > 1) {
    out.problem = name + " has several bands, so it holds no heights; choose another";
  }
  if (!out.problem.empty()) return out;
  if (crs.empty()) {
    auto utm = utm_crs_for(facts->centre_wgs84);
    if (!utm) {
      out.problem = name + ": " + utm.error().message;
      return out;
    }
    crs = *utm;
    facts = io::inspect_raster(path, crs);
  }
  if (!facts || facts->box.empty()) {
    out.problem = name + " cannot be brought into the property's coordinate system";
    return out;
  }
  out.facts = *facts;
  const Box& box = facts->box;
  const double a_px = std::max(box.width_m(), box.height_m()) / kSide_px;
  const int w = std::max(1, static_cast<int>(std::lround(box.width_m() / a_px))),
            h = std::max(1, static_cast<int>(std::lround(box.height_m() / a_px)));
  RasterLayer layer;
  layer.path = std::filesystem::absolute(path).string();
  const auto picture = io::render_layer(layer, {}, crs, box, w, h, stop);
  if (!picture) {
    out.problem = picture.error().message;
    return out;
  }
  out.image = QImage(reinterpret_cast<const uchar*>(picture->argb.data()), w, h,
                     QImage::Format_ARGB32_Premultiplied)
                  .copy();
  return out;
}

RasterPreview::RasterPreview(QWidget* parent) : QWidget(parent) {
  setMinimumSize(240, 180);
  setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
  setAccessibleName(tr("Preview"));
}

void RasterPreview::show(std::vector<RasterLook> looks) {
  looks_ = std::move(looks);
  QStringList words;
  for (const RasterLook& l : looks_) words << text(l.path.filename().string());
  setAccessibleDescription(words.join(QStringLiteral(", ")));
  update();
}

void RasterPreview::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.fillRect(rect(), palette().color(QPalette::Base));
  Box all;
  for (const RasterLook& l : looks_)
    if (l.problem.empty()) all.add(l.facts.box);
  if (all.empty()) {
    painter.setPen(palette().color(QPalette::PlaceholderText));
    painter.drawText(rect(), Qt::AlignCenter, tr("Nothing chosen yet"));
    return;
  }
  painter.setRenderHints(QPainter::Antialiasing | QPainter::SmoothPixmapTransform);
  const MapTransform t = MapTransform::fitting(all, QRectF(rect()), 24);
  for (const RasterLook& l : looks_)
    if (!l.image.isNull()) painter.drawImage(t.toDevice(l.facts.box), l.image);
  const Qt::PenStyle styles[] = {Qt::SolidLine, Qt::DashLine, Qt::DotLine, Qt::DashDotLine};
  size_t n = 0;
  for (const RasterLook& l : looks_) {
    if (!l.problem.empty()) continue;
    const QRectF box = t.toDevice(l.facts.box);
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(Qt::white, 3.5));
    painter.drawRect(box);
    painter.setPen(QPen(Qt::black, 1.5, styles[n % 4]));
    painter.drawRect(box);
    drawHaloText(painter, box.topLeft() + QPointF(7, 17 + 16 * static_cast<double>(n++)),
                 text(l.path.filename().string()), screenFont(type::kLabel), Qt::black, 3);
  }
}

QString factsInWords(const io::RasterFacts& facts, UnitSystem units) {
  const bool us = units == UnitSystem::us;
  const double side_m = us ? 1609.344 : 1000;
  const QString cell = us ? QObject::tr("%1 ft").arg(facts.cell_m / kMetresPerFoot, 0, 'f', 1)
                          : QObject::tr("%1 m").arg(facts.cell_m, 0, 'f', 2);
  const QString size = us ? QObject::tr("%1 by %2 miles") : QObject::tr("%1 by %2 km");
  return QObject::tr("%1 × %2 pixels of %3, %4")
      .arg(facts.width_px)
      .arg(facts.height_px)
      .arg(cell, size.arg(facts.box.width_m() / side_m, 0, 'f', 2)
                     .arg(facts.box.height_m() / side_m, 0, 'f', 2));
}

}  // namespace leeward::ui
