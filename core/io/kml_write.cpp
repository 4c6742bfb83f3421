#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/map_export.h"
#include "core/io/store_paths.h"

#include <cpl_string.h>
#include <cpl_vsi.h>
#include <gdal_priv.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

constexpr const char* kPictureName = "aerial.jpg";

std::string escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '&')
      out += "&amp;";
    else if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '"')
      out += "&quot;";
    else if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t')
      out += c;
  }
  return out;
}

/// KML writes aabbggrr.
std::string colour(std::uint32_t argb) {
  char text[12];
  std::snprintf(text, sizeof text, "%02x%02x%02x%02x", argb >> 24 & 255U, argb & 255U,
                argb >> 8 & 255U, argb >> 16 & 255U);
  return text;
}

std::string coordinates(const Frame& frame, const Path& path, bool closed) {
  std::string out = "<coordinates>";
  const auto add = [&](LocalXY p) {
    const LonLat at = frame.to_wgs84(p);
    char text[64];
    std::snprintf(text, sizeof text, "%.8f,%.8f ", at.lon, at.lat);
    out += text;
  };
  for (const LocalXY p : path) add(p);
  if (closed && !path.empty()) add(path.front());
  out.pop_back();
  return out + "</coordinates>";
}

std::string geometry(const Frame& frame, const Shape& s) {
  if (s.type == ShapeType::point)
    return "<Point>" + coordinates(frame, s.path(), false) + "</Point>";
  if (s.type == ShapeType::line)
    return "<LineString><tessellate>1</tessellate>" + coordinates(frame, s.path(), false) +
           "</LineString>";
  std::string out = "<Polygon><tessellate>1</tessellate>";
  for (size_t i = 0; i < s.parts.size(); ++i) {
    const char* which = i == 0 ? "outerBoundaryIs" : "innerBoundaryIs";
    out += std::string("<") + which + "><LinearRing>" + coordinates(frame, s.parts[i], true) +
           "</LinearRing></" + which + ">";
  }
  return out + "</Polygon>";
}

std::string style(const char* id, std::uint32_t line, std::uint32_t fill, double width) {
  char wide[16];
  std::snprintf(wide, sizeof wide, "%.1f", width);
  return std::string("<Style id=\"") + id + "\"><IconStyle><color>" + colour(line) +
         "</color></IconStyle><LineStyle><color>" + colour(line) + "</color><width>" + wide +
         "</width></LineStyle><PolyStyle><color>" + colour(fill) + "</color></PolyStyle></Style>\n";
}

std::string placemark(const std::string& name, const std::string& remarks, const char* style_id,
                      const std::string& shape) {
  return "<Placemark><name>" + escaped(name) + "</name>" +
         (remarks.empty() ? std::string{} : "<description>" + escaped(remarks) + "</description>") +
         "<styleUrl>#" + style_id + "</styleUrl>" + shape + "</Placemark>\n";
}

std::string overlay(const LonLatPicture& p) {
  char box[256];
  std::snprintf(
      box, sizeof box,
      "<LatLonBox><north>%.9f</north><south>%.9f</south><east>%.9f</east><west>%.9f</west>"
      "</LatLonBox>",
      p.north, p.south, p.east, p.west);
  return std::string("<GroundOverlay><name>Aerial picture</name><Icon><href>") + kPictureName +
         "</href></Icon>" + box + "</GroundOverlay>\n";
}

std::string document_text(const Frame& frame, const ExportMap& map, const LonLatPicture* under) {
  std::string out =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml "
      "xmlns=\"http://www.opengis.net/kml/2.2\"><Document><name>" +
      escaped(map.name) + "</name>\n";
  for (const KindInfo& k : all_kinds()) {
    const size_t i = static_cast<size_t>(k.kind);
    out += style(k.table, map.line_argb[i], map.fill_argb[i], 2);
  }
  out += style("way", 0xFF1E5A8CU, 0, 3.5);
  if (under) out += overlay(*under);
  for (const KindInfo& k : all_kinds()) {
    std::string rows;
    for (const auto& f : map.features)
      if (f->kind() == k.kind)
        rows += placemark(display_name(*f), f->remarks, k.table, geometry(frame, f->shape));
    if (!rows.empty())
      out += std::string("<Folder><name>") + escaped(k.plural) + "</name>\n" + rows + "</Folder>\n";
  }
  if (!map.ways.empty()) {
    out += "<Folder><name>Ways</name>\n";
    for (const GpxTrack& w : map.ways)
      out += placemark(w.name, w.remarks, "way", geometry(frame, Shape::line(w.points)));
    out += "</Folder>\n";
  }
  return out + "</Document></kml>\n";
}

bool write_bytes(const std::string& vsi_path, const void* bytes, size_t size) {
  VSILFILE* file = VSIFOpenL(vsi_path.c_str(), "wb");
  if (!file) return false;
  const bool wrote = VSIFWriteL(bytes, 1, size, file) == size;
  return VSIFCloseL(file) == 0 && wrote;
}

/// The picture on a pale ground as a JPEG file; empty: it failed.
std::string jpeg_of(const Picture& picture) {
  GDALDriver* memory = GetGDALDriverManager()->GetDriverByName("MEM");
  DatasetPtr raster(memory->Create("", picture.width_px, picture.height_px, 3, GDT_Byte, nullptr));
  std::vector<std::uint8_t> plane(picture.argb.size());
  for (int b = 0; raster && b < 3; ++b) {
    for (size_t i = 0; i < plane.size(); ++i) {
      const std::uint32_t v = picture.argb[i];
      plane[i] = static_cast<std::uint8_t>((v >> (16 - 8 * b) & 255U) + (255U - (v >> 24)));
    }
    if (raster->GetRasterBand(b + 1)->RasterIO(GF_Write, 0, 0, picture.width_px, picture.height_px,
                                               plane.data(), picture.width_px, picture.height_px,
                                               GDT_Byte, 0, 0, nullptr) != CE_None)
      return {};
  }
  const std::string name = "/vsimem/leeward_overlay_" + Uid::random().str() + ".jpg";
  CPLStringList options;
  options.SetNameValue("QUALITY", "82");
  GDALDriver* jpeg = GetGDALDriverManager()->GetDriverByName("JPEG");
  DatasetPtr copy(
      jpeg->CreateCopy(name.c_str(), raster.get(), false, options.List(), nullptr, nullptr));
  const bool made = copy != nullptr;
  copy.reset();
  vsi_l_offset size = 0;
  const GByte* bytes = made ? VSIGetMemFileBuffer(name.c_str(), &size, false) : nullptr;
  std::string out;
  if (bytes) out.assign(reinterpret_cast<const char*>(bytes), static_cast<size_t>(size));
  VSIUnlink(name.c_str());
  return out;
}

bool write_kmz(const fs::path& path, const std::string& text, const Picture* picture) {
  const std::string zip = "/vsizip/" + path.string();
  VSILFILE* whole = VSIFOpenL(zip.c_str(), "wb");  // keeps the archive open between its files
  if (!whole) return false;
  bool fine = write_bytes(zip + "/doc.kml", text.data(), text.size());
  if (fine && picture) {
    const std::string jpeg = jpeg_of(*picture);
    fine = !jpeg.empty() && write_bytes(zip + "/" + kPictureName, jpeg.data(), jpeg.size());
  }
  return VSIFCloseL(whole) == 0 && fine;
}

}  // namespace

LonLatPicture to_lon_lat(const GroundPicture& in, const Frame& frame) {
  constexpr int kKnots = 33;
  LonLatPicture out;
  const Box& b = in.box;
  out.west = out.south = 1e9, out.east = out.north = -1e9;
  for (int i = 0; i < kKnots; ++i) {  // along the four edges
    const double s = i / (kKnots - 1.0);
    const double x = b.min_x + s * b.width_m(), y = b.min_y + s * b.height_m();
    for (const LocalXY p :
         {LocalXY{x, b.min_y}, LocalXY{x, b.max_y}, LocalXY{b.min_x, y}, LocalXY{b.max_x, y}}) {
      const LonLat at = frame.to_wgs84(p);
      out.west = std::min(out.west, at.lon), out.east = std::max(out.east, at.lon);
      out.south = std::min(out.south, at.lat), out.north = std::max(out.north, at.lat);
    }
  }
  const int w = in.picture.width_px, h = in.picture.height_px;
  out.picture = {w, h, std::vector<std::uint32_t>(static_cast<size_t>(w) * static_cast<size_t>(h))};
  // Between knots the frame is linear to a centimetre over some kilometres.
  std::vector<LocalXY> knots;
  for (int r = 0; r < kKnots; ++r)
    for (int c = 0; c < kKnots; ++c)
      knots.push_back(frame.to_local({out.west + (out.east - out.west) * c / (kKnots - 1),
                                      out.north - (out.north - out.south) * r / (kKnots - 1)}));
  for (int y = 0; y < h; ++y) {
    const double kr = (y + 0.5) / h * (kKnots - 1);
    const int r = std::min(static_cast<int>(kr), kKnots - 2);
    for (int x = 0; x < w; ++x) {
      const double kc = (x + 0.5) / w * (kKnots - 1);
      const int c = std::min(static_cast<int>(kc), kKnots - 2);
      const auto knot = [&](int dc, int dr) {
        return knots[static_cast<size_t>((r + dr) * kKnots + c + dc)];
      };
      const double u = kc - c, v = kr - r;
      const LocalXY p = (knot(0, 0) * (1 - u) + knot(1, 0) * u) * (1 - v) +
                        (knot(0, 1) * (1 - u) + knot(1, 1) * u) * v;
      const int sx = static_cast<int>(std::floor((p.x - b.min_x) / b.width_m() * w)),
                sy = static_cast<int>(std::floor((b.max_y - p.y) / b.height_m() * h));
      if (sx >= 0 && sy >= 0 && sx < w && sy < h)
        out.picture.argb[static_cast<size_t>(y) * static_cast<size_t>(w) + static_cast<size_t>(x)] =
            in.picture
                .argb[static_cast<size_t>(sy) * static_cast<size_t>(w) + static_cast<size_t>(sx)];
    }
  }
  return out;
}

Status write_kml(const fs::path& path, const Frame& frame, const ExportMap& map,
                 const std::optional<GroundPicture>& under) {
  const bool zipped = path.extension() != ".kml";
  if (under && !zipped)
    return fail(
        ErrorCode::invalid_argument,
        path.string() + ": a .kml holds no picture; choose a .kmz, or leave the picture out");
  if (map.features.empty() && map.ways.empty())
    return fail(ErrorCode::invalid_argument, path.string() + ": there is nothing to write");
  enter_gdal();
  GdalMessages messages;
  std::optional<LonLatPicture> overlay_picture;
  if (under) overlay_picture = to_lon_lat(*under, frame);
  const std::string text = document_text(frame, map, overlay_picture ? &*overlay_picture : nullptr);
  fs::path temporary = fs::absolute(temporary_beside(path));
  temporary.replace_extension(zipped ? ".kmz" : ".kml");
  const bool fine =
      zipped ? write_kmz(temporary, text, overlay_picture ? &overlay_picture->picture : nullptr)
             : write_bytes(temporary.string(), text.data(), text.size());
  return put_in_place(fine, temporary, path, messages.text());
}

}  // namespace leeward::io
