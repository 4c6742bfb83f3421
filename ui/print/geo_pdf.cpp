#include "ui/print/geo_pdf.h"

#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include <array>

namespace leeward::ui {
namespace {

using Handle = QPDFObjectHandle;

Handle real(double v, int places) { return Handle::newReal(v, places); }

Handle numbers(std::initializer_list<double> values, int places) {
  Handle out = Handle::newArray();
  for (const double v : values) out.appendItem(real(v, places));
  return out;
}

Handle coordinateSystem(const Frame& frame) {
  Handle gcs = Handle::newDictionary();
  gcs.replaceKey("/Type", Handle::newName("/PROJCS"));
  const std::string& crs = frame.crs();
  if (crs.starts_with("EPSG:"))
    gcs.replaceKey("/EPSG", Handle::newInteger(std::stoi(crs.substr(5))));
  gcs.replaceKey("/WKT", Handle::newString(frame.wkt()));
  return gcs;
}

Handle measure(QPDF& pdf, const Frame& frame, const Box& g) {
  // Corners in the order of LPTS: lower left, upper left, upper right, lower right; latitude first.
  Handle gpts = Handle::newArray();
  for (const LocalXY p : {LocalXY{g.min_x, g.min_y}, LocalXY{g.min_x, g.max_y},
                          LocalXY{g.max_x, g.max_y}, LocalXY{g.max_x, g.min_y}}) {
    const LonLat at = frame.to_wgs84(p);
    gpts.appendItem(real(at.lat, 10));
    gpts.appendItem(real(at.lon, 10));
  }
  Handle m = Handle::newDictionary();
  m.replaceKey("/Type", Handle::newName("/Measure"));
  m.replaceKey("/Subtype", Handle::newName("/GEO"));
  m.replaceKey("/Bounds", numbers({0, 0, 0, 1, 1, 1, 1, 0}, 1));
  m.replaceKey("/LPTS", numbers({0, 0, 0, 1, 1, 1, 1, 0}, 1));
  m.replaceKey("/GPTS", gpts);
  m.replaceKey("/GCS", pdf.makeIndirectObject(coordinateSystem(frame)));
  Handle units = Handle::newArray();
  for (const char* unit : {"/M", "/SQM", "/DEG"}) units.appendItem(Handle::newName(unit));
  m.replaceKey("/PDU", units);
  return pdf.makeIndirectObject(m);
}

}  // namespace

Status addGeoreference(const std::filesystem::path& drawn, const std::filesystem::path& to,
                       const Frame& frame, const GeoReference& where) {
  try {
    QPDF pdf;
    pdf.processFile(drawn.c_str());
    auto pages = QPDFPageDocumentHelper(pdf).getAllPages();
    if (pages.empty()) return fail(ErrorCode::io, drawn.string() + ": the PDF has no page");
    constexpr double kPointsPerMm = 72 / 25.4;
    const QRectF& mm = where.map_mm;
    Handle viewport = Handle::newDictionary();
    viewport.replaceKey("/Type", Handle::newName("/Viewport"));
    viewport.replaceKey("/Name", Handle::newString("Map"));
    viewport.replaceKey(
        "/BBox",
        numbers({mm.left() * kPointsPerMm, (where.page_height_mm - mm.bottom()) * kPointsPerMm,
                 mm.right() * kPointsPerMm, (where.page_height_mm - mm.top()) * kPointsPerMm},
                5));
    viewport.replaceKey("/Measure", measure(pdf, frame, where.ground));
    Handle list = Handle::newArray();
    list.appendItem(pdf.makeIndirectObject(viewport));
    pages[0].getObjectHandle().replaceKey("/VP", list);
    QPDFWriter writer(pdf, to.c_str());
    writer.setDeterministicID(true);
    writer.setMinimumPDFVersion("1.7");
    writer.write();
    return ok();
  } catch (const std::exception& e) {
    return fail(ErrorCode::io, to.string() + ": the PDF could not be written: " + e.what());
  }
}

}  // namespace leeward::ui
