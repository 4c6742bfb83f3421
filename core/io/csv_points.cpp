// Points from a table with coordinate columns.
#include "core/io/forecast_parse.h"
#include "core/io/gdal_open.h"
#include "core/io/vector_rows.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

constexpr size_t kMaxPoints = 20'000;
constexpr std::array kXNames = {"lon", "long", "lng", "longitude", "x", "easting", "east"};
constexpr std::array kYNames = {"lat", "latitude", "y", "northing", "north"};

/// Semicolons and tabs outside quotes become commas when the header has no comma.
std::string with_commas(std::string text) {
  const std::string header = text.substr(0, text.find('\n'));
  if (header.find(',') != std::string::npos) return text;
  const char mark = header.find(';') != std::string::npos ? ';' : '\t';
  bool quoted = false;
  for (char& c : text) {
    if (c == '"') quoted = !quoted;
    if (quoted) continue;
    if (c == mark) {
      c = ',';
    } else if (c == ',') {
      c = '.';  // a decimal comma
    }
  }
  return text;
}

template <class Names>
int column_of(const std::vector<std::string>& cells, const Names& names) {
  for (size_t i = 0; i < cells.size(); ++i)
    for (const char* name : names)
      if (lowered(cells[i]) == name) return static_cast<int>(i);
  return -1;
}

std::optional<double> coordinate(const std::vector<std::string>& cells, int column) {
  const auto i = static_cast<size_t>(column);
  return i < cells.size() ? number_of(lowered(cells[i])) : std::nullopt;
}

Result<std::string> table_text(const fs::path& path) {
  auto text = read_text(path);
  if (!text) return std::move(text.error());
  return with_commas(*std::move(text));
}

}  // namespace

Result<CsvColumns> inspect_csv(const fs::path& path) {
  auto text = table_text(path);
  if (!text) return std::move(text.error());
  std::string_view rest = *text;
  int line = 1;
  CsvColumns out;
  out.names = take_csv_row(rest, line);
  if (out.names.size() < 2)
    return fail(
        ErrorCode::parse,
        shown(path) + ": its first line must name two columns or more, such as name, lat, lon");
  out.x = column_of(out.names, kXNames);
  out.y = column_of(out.names, kYNames);
  return out;
}

Result<VectorRows> read_csv_rows(const fs::path& path, const CsvColumns& columns,
                                 const Frame& frame) {
  const int last = static_cast<int>(columns.names.size());
  if (columns.x < 0 || columns.y < 0 || columns.x >= last || columns.y >= last ||
      columns.x == columns.y)
    return fail(ErrorCode::parse, shown(path) + ": choose the two columns that hold coordinates");
  auto text = table_text(path);
  if (!text) return std::move(text.error());
  std::string_view rest = *text;
  int line = 1;
  static_cast<void>(take_csv_row(rest, line));
  VectorRows out;
  out.fields = columns.names;
  const int name = column_of(columns.names, std::array{"name", "label", "title", "id"});
  std::vector<LocalXY> places;
  bool degrees = true;
  int unread = 0;
  while (!rest.empty() && out.rows.size() < kMaxPoints) {
    const int at = line;
    std::vector<std::string> cells = take_csv_row(rest, line);
    if (cells.size() == 1 && lowered(cells[0]).empty()) continue;
    const auto x = coordinate(cells, columns.x), y = coordinate(cells, columns.y);
    if (!x || !y) {
      if (++unread <= 5)
        out.notes.push_back("Line " + std::to_string(at) + " left out: it has no coordinates.");
      ++out.left_out;
      continue;
    }
    degrees = degrees && std::abs(*x) <= 180 && std::abs(*y) <= 90;
    places.push_back({*x, *y});
    VectorRow row;
    row.layer = path.stem().string();
    if (name >= 0 && static_cast<size_t>(name) < cells.size())
      row.name = cells[static_cast<size_t>(name)].substr(0, 200);
    row.which = row.name.empty() ? "Line " + std::to_string(at) : "'" + row.name + "'";
    row.values = std::move(cells);
    out.rows.push_back(std::move(row));
  }
  if (!rest.empty() && out.rows.size() == kMaxPoints)
    out.notes.push_back("The file holds more than 20000 points; the rest is left out.");
  if (out.rows.empty())
    return fail(ErrorCode::parse, shown(path) + ": no line has numbers in both chosen columns");
  for (size_t i = 0; i < out.rows.size(); ++i) {
    const LocalXY p = degrees ? frame.to_local({places[i].x, places[i].y}) : places[i];
    if (!std::isfinite(p.x) || !std::isfinite(p.y))
      return fail(ErrorCode::parse, shown(path) + ": " + out.rows[i].which +
                                        " lies outside the property's grid; are the columns "
                                        "the right ones?");
    out.rows[i].shape = Shape::point(p);
  }
  if (!degrees)
    out.notes.push_back(
        "The numbers are no degrees; they were taken as metres of the property's grid.");
  return out;
}

}  // namespace leeward::io
