#include "ui/print/geo_pdf.h"

#include "ui/print/tone_pdf.h"

#include <qpdf/Pl_Discard.hh>
#include <qpdf/Pl_Flate.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFPageObjectHelper.hh>
#include <qpdf/QPDFWriter.hh>

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

Handle measure(QPDF& pdf, const Frame& frame, const GeoReference& where) {
  // Corners in the order of LPTS; latitude first.
  Handle gpts = Handle::newArray();
  for (const LocalXY p : where.corners) {
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

Handle viewport(QPDF& pdf, const Frame& frame, const GeoReference& where) {
  constexpr double kPointsPerMm = 72 / 25.4;
  const QRectF& mm = where.map_mm;
  Handle out = Handle::newDictionary();
  out.replaceKey("/Type", Handle::newName("/Viewport"));
  out.replaceKey("/Name", Handle::newString("Map"));
  out.replaceKey(
      "/BBox",
      numbers({mm.left() * kPointsPerMm, (where.page_height_mm - mm.bottom()) * kPointsPerMm,
               mm.right() * kPointsPerMm, (where.page_height_mm - mm.top()) * kPointsPerMm},
              5));
  out.replaceKey("/Measure", measure(pdf, frame, where));
  return pdf.makeIndirectObject(out);
}

// The items of one level below `parent` as a chain (ISO 32000-2, 12.3.3).
void chain(Handle parent, std::vector<Handle>& items) {
  for (size_t i = 0; i < items.size(); ++i) {
    items[i].replaceKey("/Parent", parent);
    if (i > 0) items[i].replaceKey("/Prev", items[i - 1]);
    if (i + 1 < items.size()) items[i].replaceKey("/Next", items[i + 1]);
  }
  if (items.empty()) return;
  parent.replaceKey("/First", items.front());
  parent.replaceKey("/Last", items.back());
  parent.replaceKey("/Count", Handle::newInteger(static_cast<long long>(items.size())));
}

void addBookmarks(QPDF& pdf, std::vector<QPDFPageObjectHelper>& pages,
                  const std::vector<Bookmark>& bookmarks) {
  if (bookmarks.empty()) return;
  Handle root = pdf.makeIndirectObject(Handle::newDictionary());
  root.replaceKey("/Type", Handle::newName("/Outlines"));
  std::vector<Handle> tops;
  std::vector<std::vector<Handle>> below;
  for (const Bookmark& b : bookmarks) {
    if (b.page >= pages.size()) continue;
    Handle item = pdf.makeIndirectObject(Handle::newDictionary());
    item.replaceKey("/Title", Handle::newUnicodeString(b.title.toStdString()));
    Handle goal = Handle::newArray();
    goal.appendItem(pages[b.page].getObjectHandle());
    goal.appendItem(Handle::newName("/Fit"));
    item.replaceKey("/Dest", goal);
    if (b.level > 0 && !tops.empty()) {
      below.back().push_back(item);
    } else {
      tops.push_back(item);
      below.emplace_back();
    }
  }
  for (size_t i = 0; i < tops.size(); ++i) chain(tops[i], below[i]);
  chain(root, tops);
  pdf.getRoot().replaceKey("/Outlines", root);
  pdf.getRoot().replaceKey("/PageMode", Handle::newName("/UseOutlines"));
}

bool readsWithoutWarning(const std::filesystem::path& path) {
  QPDF pdf;
  pdf.setSuppressWarnings(true);
  pdf.processFile(path.c_str());
  for (Handle object : pdf.getAllObjects()) {
    if (!object.isStream()) continue;
    Pl_Discard nowhere;
    object.pipeStreamData(&nowhere, 0, qpdf_dl_specialized);
  }
  return !pdf.anyWarnings();
}

}  // namespace

Status finishPdf(const std::filesystem::path& drawn, const std::filesystem::path& to,
                 const Frame& frame, const PdfExtras& extras) {
  try {
    QPDF pdf;
    pdf.processFile(drawn.c_str());
    auto pages = QPDFPageDocumentHelper(pdf).getAllPages();
    if (pages.empty()) return fail(ErrorCode::io, drawn.string() + ": the PDF has no page");
    if (extras.look == PrintLook::colour) {
      shrinkPhotographs(pdf);
    } else {
      tonePdf(pdf, extras.look);
    }
    for (const GeoReference& where : extras.places) {
      Handle list = Handle::newArray();
      list.appendItem(viewport(pdf, frame, where));
      pages.at(where.page).getObjectHandle().replaceKey("/VP", list);
    }
    if (extras.bookmarks.size() > 1) addBookmarks(pdf, pages, extras.bookmarks);
    // A sound stream whose end falls on the end of a reader's buffer makes qpdf wonder; packed a
    // little differently it does not.
    for (const int level : {0, 6, 7, 8, 9}) {  // 0: as they came
      if (level > 0) Pl_Flate::setCompressionLevel(level);
      QPDFWriter writer(pdf, to.c_str());
      writer.setDeterministicID(true);
      writer.setMinimumPDFVersion("1.7");
      writer.setRecompressFlate(level > 0);
      writer.write();
      if (readsWithoutWarning(to)) break;
    }
    return ok();
  } catch (const std::exception& e) {
    return fail(ErrorCode::io, to.string() + ": the PDF could not be written: " + e.what());
  }
}

}  // namespace leeward::ui
