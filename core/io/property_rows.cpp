#include "core/io/property_rows.h"

#include "core/io/gdal_open.h"
#include "core/io/ogr_shapes.h"
#include "core/io/settings_lists.h"

#include <cpl_string.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <charconv>
#include <chrono>
#include <concepts>
#include <cstdio>

namespace leeward::io {
namespace {

template <class R, class T>
concept Is = std::same_as<std::remove_const_t<R>, T>;

// --- the columns, each named once; v(name, value) --------------------------------------------

template <Is<Feature> R, class V>
void columns(R& f, V&& v) {
  v("name", f.name);
  v("remarks", f.remarks);
  std::visit(
      [&](auto& attrs) {
        using A = std::remove_cvref_t<decltype(attrs)>;
        A::fields([&](const char* column, auto member, const char*, const char*) {
          v(column, attrs.*member);
        });
      },
      f.attrs);
}
constexpr const char* kSetbackColumns[kSetbackCount] = {"setback_dwelling_m", "setback_road_m",
                                                        "setback_boundary_m", "setback_stand_m",
                                                        "setback_gate_m",     "setback_path_m"};
template <Is<Weapon> R, class V>
void columns(R& w, V&& v) {
  v("name", w.name);
  v("weapon_type", w.type);
  v("inner_m", w.inner_m);
  v("outer_m", w.outer_m);
  v("rings_m", w.rings_m);
  v("max_travel_m", w.max_travel_m);
  for (int k = 0; k < kSetbackCount; ++k)
    v(kSetbackColumns[k], w.setback_m[static_cast<size_t>(k)]);
}
template <Is<RasterLayer> R, class V>
void columns(R& r, V&& v) {
  v("name", r.name);
  v("path", r.path);
  v("role", r.role);
  v("opacity", r.opacity);
  v("draw_order", r.order);
  v("visible", r.visible);
  v("metres_per_unit", r.metres_per_unit);
}
template <Is<Forecast> R, class V>
void columns(R& f, V&& v) {
  v("source", f.source);
  v("imported", f.imported);
  v("issued", f.issued);
}
template <Is<WindHour> R, class V>
void columns(R& h, V&& v) {
  v("forecast_uid", h.forecast);
  v("begins", h.at);
  v("from_deg", h.from_deg);
  v("speed_mps", h.speed_mps);
  v("speed_range_mps", h.speed_range_mps);
  v("gust_mps", h.gust_mps);
  v("cloud", h.cloud);
  v("temperature_c", h.temperature_c);
}
template <Is<Visit> R, class V>
void columns(R& r, V&& v) {
  v("visit_type", r.type);
  v("at", r.at);
  v("place_uid", r.place);
  v("entered_uids", r.entered);
  v("who", r.who);
  v("remarks", r.remarks);
}
template <Is<Settings> R, class V>
void columns(R& s, V&& v) {
  v("name", s.name);
  v("time_zone", s.time_zone);
  v("crs", s.crs);
  v("units", s.units);
  v("legal_before_sunrise_min", s.legal_before_sunrise_min);
  v("legal_after_sunset_min", s.legal_after_sunset_min);
  v("sit_minutes", s.sit_minutes);
  v("use_hand_wind", s.use_hand_wind);
  v("hand_from_deg", s.hand_wind.from_deg);
  v("hand_speed_mps", s.hand_wind.speed_mps);
  v("hand_cloud", s.hand_wind.cloud);
  v("stability", s.stability);
  v("scent_limit", s.scent_limit);
  v("surroundings_drawn", s.surroundings_drawn);
  v("deer_pace_mps", s.deer_pace_mps);
  v("glare_within_deg", s.glare_within_deg);
  v("settle_min", s.settle_min);
  v("safety_check_months", s.safety_check_months);
  v("pick_up", s.pick_up);
  v("beyond_boundary", s.beyond_boundary);
  v("constants", s.constants);
  v("curves", s.curves);
  v("rut", s.rut);
  v("layout_paper", s.layout.paper);
  v("layout_landscape", s.layout.landscape);
  v("layout_scale_denominator", s.layout.scale_denominator);
  v("layout_centre", s.layout.centre);
  v("layout_trade", s.layout.trade);
  v("layout_aerial", s.layout.aerial);
  v("layout_hour", s.layout.hour);
  v("layout_custom_width_mm", s.layout.custom_width_mm);
  v("layout_custom_height_mm", s.layout.custom_height_mm);
  v("layout_turned_deg", s.layout.turned_deg);
  v("layout_contours", s.layout.contours);
  v("layout_look", s.layout.look);
  v("layout_large_type", s.layout.large_type);
  v("pace_m", s.pace_m);
  v("emergency_meeting", s.emergency.meeting);
  v("emergency_meeting_words", s.emergency.meeting_words);
  v("emergency_numbers", s.emergency.numbers);
  v("emergency_due_back", s.emergency.due_back);
  v("emergency_call_if_late", s.emergency.call_if_late);
}

// --- visitors --------------------------------------------------------------------------------

template <class T>
inline constexpr bool kIsOptional = false;
template <class T>
inline constexpr bool kIsOptional<std::optional<T>> = true;

/// Calls fn(name, type, subtype) for the columns that a value takes.
template <class T, class Fn>
void column_types(const char* name, const T&, Fn&& fn) {
  using std::is_same_v;
  if constexpr (is_same_v<T, double> || is_same_v<T, std::optional<double>>) {
    fn(std::string(name), OFTReal, OFSTNone);
  } else if constexpr (is_same_v<T, bool>) {
    fn(std::string(name), OFTInteger, OFSTBoolean);
  } else if constexpr (is_same_v<T, int> || is_same_v<T, std::optional<int>>) {
    fn(std::string(name), OFTInteger, OFSTNone);
  } else if constexpr (is_same_v<T, Instant> || is_same_v<T, std::optional<Instant>>) {
    fn(std::string(name), OFTDateTime, OFSTNone);
  } else if constexpr (is_same_v<T, std::optional<LocalXY>>) {
    fn(name + std::string("_x"), OFTReal, OFSTNone);
    fn(name + std::string("_y"), OFTReal, OFSTNone);
  } else {
    fn(std::string(name), OFTString, OFSTNone);
  }
}

struct Writer {
  OGRFeature& out;

  void operator()(const char* name, const std::string& v) { out.SetField(name, v.c_str()); }
  void operator()(const char* name, const Uid& v) { out.SetField(name, v.str().c_str()); }
  void operator()(const char* name, double v) { out.SetField(name, v); }
  void operator()(const char* name, int v) { out.SetField(name, v); }
  void operator()(const char* name, bool v) { out.SetField(name, v ? 1 : 0); }
  void operator()(const char* name, const MonthSet& v) { out.SetField(name, v.str().c_str()); }
  void operator()(const char* name, const std::vector<Gap>& v) {
    out.SetField(name, gaps_to_text(v).c_str());
  }
  template <class T>
  requires requires(const std::vector<T>& v) { list_text(v); }
  void operator()(const char* name, const std::vector<T>& v) {
    out.SetField(name, list_text(v).c_str());
  }
  void operator()(const char* name, const std::vector<Uid>& v) {
    std::string text;
    for (const Uid& uid : v) text += (text.empty() ? "" : ",") + uid.str();
    out.SetField(name, text.c_str());
  }
  void operator()(const char* name, const std::vector<double>& v) {
    std::string text;
    for (const double d : v) {
      char number[40];
      std::snprintf(number, sizeof number, "%s%.17g", text.empty() ? "" : ";", d);
      text += number;
    }
    out.SetField(name, text.c_str());
  }
  void operator()(const char* name, Instant v) {
    const auto day = std::chrono::floor<std::chrono::days>(v);
    const std::chrono::year_month_day date(day);
    const std::chrono::hh_mm_ss clock(v - day);
    out.SetField(out.GetFieldIndex(name), static_cast<int>(date.year()),
                 static_cast<int>(static_cast<unsigned>(date.month())),
                 static_cast<int>(static_cast<unsigned>(date.day())),
                 static_cast<int>(clock.hours().count()), static_cast<int>(clock.minutes().count()),
                 static_cast<float>(clock.seconds().count()), 100 /* UTC */);
  }
  void operator()(const char* name, const std::optional<LocalXY>& v) {
    const std::string x = name + std::string("_x"), y = name + std::string("_y");
    (*this)(x.c_str(), v ? std::optional(v->x) : std::nullopt);
    (*this)(y.c_str(), v ? std::optional(v->y) : std::nullopt);
  }
  template <class T>
  void operator()(const char* name, const std::optional<T>& v) {
    if (v) {
      (*this)(name, *v);
    } else {
      out.SetFieldNull(out.GetFieldIndex(name));
    }
  }
  template <class E>
  requires std::is_enum_v<E>
  void operator()(const char* name, E v) { out.SetField(name, word(v)); }
};

struct Reader {
  const OGRFeature& in;
  std::string problem;

  bool has(const char* name) const {
    const int i = in.GetFieldIndex(name);
    return i >= 0 && in.IsFieldSetAndNotNull(i);
  }
  std::string text(const char* name) const { return in.GetFieldAsString(name); }
  void complain(const char* name) {
    if (problem.empty())
      problem = std::string(name) + " '" + text(name).substr(0, 60) + "' is not understood";
  }
  template <class T>
  void take(const char* name, const std::optional<T>& parsed, T& v) {
    parsed ? void(v = *parsed) : complain(name);
  }

  void get(const char* name, std::string& v) { v = text(name); }
  void get(const char* name, Uid& v) { v = Uid(text(name)); }
  void get(const char* name, double& v) { v = in.GetFieldAsDouble(name); }
  void get(const char* name, int& v) { v = in.GetFieldAsInteger(name); }
  void get(const char* name, bool& v) { v = in.GetFieldAsInteger(name) != 0; }
  void get(const char* name, MonthSet& v) { take(name, MonthSet::parse(text(name)), v); }
  void get(const char* name, std::vector<Gap>& v) { take(name, gaps_from_text(text(name)), v); }
  template <class T>
  requires requires(std::vector<T>& v) { read_list(std::string(), v); }
  void get(const char* name, std::vector<T>& v) {
    if (!read_list(text(name), v)) complain(name);
  }
  void get(const char* name, std::vector<Uid>& v) {
    v.clear();
    const CPLStringList parts(CSLTokenizeString2(in.GetFieldAsString(name), ",", 0));
    for (int i = 0; i < parts.Count(); ++i) v.emplace_back(parts[i]);
  }
  void get(const char* name, std::vector<double>& v) {
    v.clear();
    const CPLStringList parts(CSLTokenizeString2(in.GetFieldAsString(name), ";", 0));
    for (int i = 0; i < parts.Count(); ++i) {
      const std::string_view part(parts[i]);
      double d = 0;
      const auto [end, error] = std::from_chars(part.data(), part.data() + part.size(), d);
      if (error != std::errc{} || end != part.data() + part.size()) return complain(name);
      v.push_back(d);
    }
  }
  void get(const char* name, Instant& v) {
    int year = 0, month = 0, day = 0, hour = 0, minute = 0, flag = 0;
    float second = 0;
    const std::chrono::year_month_day date = [&] {
      in.GetFieldAsDateTime(in.GetFieldIndex(name), &year, &month, &day, &hour, &minute, &second,
                            &flag);
      return std::chrono::year_month_day{std::chrono::year(year),
                                         std::chrono::month(static_cast<unsigned>(month)),
                                         std::chrono::day(static_cast<unsigned>(day))};
    }();
    if (!date.ok()) return complain(name);
    v = std::chrono::sys_days(date) + std::chrono::hours(hour) + std::chrono::minutes(minute) +
        std::chrono::seconds(static_cast<int>(second));
    if (flag > 1) v -= std::chrono::minutes((flag - 100) * 15);  // OGR: quarters of an hour
  }
  template <class E>
  requires std::is_enum_v<E>
  void get(const char* name, E& v) { take(name, from_word<E>(text(name)), v); }

  void operator()(const char* name, std::optional<LocalXY>& v) {
    const std::string x = name + std::string("_x"), y = name + std::string("_y");
    v.reset();
    if (has(x.c_str()) && has(y.c_str()))
      v = LocalXY{in.GetFieldAsDouble(x.c_str()), in.GetFieldAsDouble(y.c_str())};
  }
  template <class T>
  void operator()(const char* name, T& v) {
    if constexpr (kIsOptional<T>) {
      v.reset();
      if (!has(name)) return;
      typename T::value_type inner{};
      get(name, inner);
      v = inner;
    } else if (has(name)) {
      get(name, v);
    }
  }
};

// --- tables ----------------------------------------------------------------------------------

OGRwkbGeometryType geometry_type(const KindInfo& kind) {
  const int shapes = int{kind.point} + int{kind.line} + int{kind.area};
  if (shapes != 1) return wkbUnknown;
  return kind.point ? wkbPoint : kind.line ? wkbLineString : wkbPolygon;
}

/// Calls fn(table, identifier, geometry type, has_uid, list_columns) for every table but the
/// schema.
template <class Fn>
bool for_each_table(Fn&& fn) {
  const auto listed = [](auto row) { return [row](auto&& v) { columns(row, v); }; };
  for (const KindInfo& kind : all_kinds()) {
    Feature f;
    f.attrs = default_attributes(kind.kind);
    if (!fn(kind.table, kind.plural, geometry_type(kind), true, listed(f))) return false;
  }
  return fn(kTableOf<Weapon>, "Weapons", wkbNone, true, listed(Weapon{})) &&
         fn(kTableOf<RasterLayer>, "Raster layers", wkbNone, true, listed(RasterLayer{})) &&
         fn(kTableOf<Forecast>, "Forecasts", wkbNone, true, listed(Forecast{})) &&
         fn(kTableOf<WindHour>, "Wind hours", wkbNone, true, listed(WindHour{})) &&
         fn(kTableOf<Visit>, "Visits", wkbNone, true, listed(Visit{})) &&
         fn(kSettingsTable, "Property settings", wkbNone, false, listed(Settings{}));
}

OGRLayer* make_layer(GDALDataset& dataset, const char* table, const char* identifier,
                     OGRwkbGeometryType type, OGRSpatialReference* srs) {
  CPLStringList options;
  options.SetNameValue("FID", "fid");
  options.SetNameValue("IDENTIFIER", identifier);
  options.SetNameValue("SPATIAL_INDEX", "NO");  // small tables; no triggers beside our writes
  if (type == wkbNone) {
    options.SetNameValue("ASPATIAL_VARIANT", "GPKG_ATTRIBUTES");
  } else {
    options.SetNameValue("GEOMETRY_NAME", "geom");
  }
  return dataset.CreateLayer(table, type == wkbNone ? nullptr : srs, type, options.List());
}

bool add_column(OGRLayer& layer, const std::string& name, OGRFieldType type, OGRFieldSubType sub,
                bool unique = false) {
  if (layer.GetLayerDefn()->GetFieldIndex(name.c_str()) >= 0) return true;
  OGRFieldDefn field(name.c_str(), type);
  field.SetSubType(sub);
  field.SetUnique(unique);
  return layer.CreateField(&field) == OGRERR_NONE;
}

Status make_tables(GDALDataset& dataset, const CrsId& crs) {
  SrsPtr srs;
  if (!crs.empty()) {
    auto made = make_srs(crs);
    if (!made) return std::move(made.error());
    srs = std::move(*made);
  }
  GdalMessages messages;
  std::string failed_at;
  for_each_table([&](const char* table, const char* identifier, OGRwkbGeometryType type,
                     bool has_uid, const auto& list) {
    OGRLayer* layer = dataset.GetLayerByName(table);
    const bool is_new = layer == nullptr;
    if (is_new) layer = make_layer(dataset, table, identifier, type, srs.get());
    bool fine = layer != nullptr;
    if (fine && has_uid) fine = add_column(*layer, "uid", OFTString, OFSTNone, is_new);
    if (fine) {
      list([&](const char* name, const auto& value) {
        column_types(name, value, [&](const std::string& n, OGRFieldType t, OGRFieldSubType s) {
          fine = fine && add_column(*layer, n, t, s);
        });
      });
    }
    if (!fine) failed_at = table;
    return fine;
  });
  if (!failed_at.empty())
    return fail(ErrorCode::io, "table " + failed_at + " cannot be made: " + messages.text());
  return ok();
}

}  // namespace

Status create_tables(GDALDataset& dataset, const CrsId& crs) {
  if (Status made = make_tables(dataset, crs); !made) return made;
  GdalMessages messages;
  OGRLayer* schema = make_layer(dataset, kSchemaTable, "Schema of this property", wkbNone, nullptr);
  if (!schema || !add_column(*schema, "schema_version", OFTInteger, OFSTNone) ||
      !add_column(*schema, "written_by", OFTString, OFSTNone)) {
    return fail(ErrorCode::io, "table leeward_schema cannot be made: " + messages.text());
  }
  return ok();
}

Status add_missing_tables_and_columns(GDALDataset& dataset, const CrsId& crs) {
  return make_tables(dataset, crs);
}

Status check_tables(GDALDataset& dataset) {
  std::string missing;
  for_each_table(
      [&](const char* table, const char*, OGRwkbGeometryType, bool has_uid, const auto& list) {
        OGRLayer* layer = dataset.GetLayerByName(table);
        if (!layer) {
          missing = std::string("table ") + table;
          return false;
        }
        const auto need = [&](const std::string& column) {
          if (missing.empty() && layer->GetLayerDefn()->GetFieldIndex(column.c_str()) < 0)
            missing = "column " + column + " of table " + table;
        };
        if (has_uid) need("uid");
        list([&](const char* name, const auto& value) {
          column_types(name, value,
                       [&](const std::string& n, OGRFieldType, OGRFieldSubType) { need(n); });
        });
        return missing.empty();
      });
  if (!missing.empty()) return fail(ErrorCode::parse, missing + " is missing");
  return ok();
}

void put_columns(const Feature& row, OGRFeature& out) {
  out.SetField("uid", row.uid.str().c_str());
  columns(row, Writer{out});
  out.SetGeometryDirectly(to_ogr(row.shape).release());
}
void put_columns(const Weapon& row, OGRFeature& out) {
  out.SetField("uid", row.uid.str().c_str());
  columns(row, Writer{out});
}
void put_columns(const RasterLayer& row, OGRFeature& out) {
  out.SetField("uid", row.uid.str().c_str());
  columns(row, Writer{out});
}
void put_columns(const Forecast& row, OGRFeature& out) {
  out.SetField("uid", row.uid.str().c_str());
  columns(row, Writer{out});
}
void put_columns(const WindHour& row, OGRFeature& out) {
  out.SetField("uid", row.uid.str().c_str());
  columns(row, Writer{out});
}
void put_columns(const Visit& row, OGRFeature& out) {
  out.SetField("uid", row.uid.str().c_str());
  columns(row, Writer{out});
}
void put_columns(const Settings& row, OGRFeature& out) { columns(row, Writer{out}); }

ReadRow<Feature> read_feature_columns(Kind kind, const OGRFeature& in) {
  ReadRow<Feature> out;
  out.row.attrs = default_attributes(kind);
  Reader reader{in, {}};
  if (reader.has("uid")) out.row.uid = Uid(reader.text("uid"));
  columns(out.row, reader);
  out.problem = std::move(reader.problem);
  return out;
}

template <class T>
ReadRow<T> read_columns(const OGRFeature& in) {
  ReadRow<T> out;
  Reader reader{in, {}};
  if constexpr (!std::is_same_v<T, Settings>) {
    if (reader.has("uid")) out.row.uid = Uid(reader.text("uid"));
  }
  columns(out.row, reader);
  out.problem = std::move(reader.problem);
  return out;
}
template ReadRow<Weapon> read_columns(const OGRFeature&);
template ReadRow<RasterLayer> read_columns(const OGRFeature&);
template ReadRow<Forecast> read_columns(const OGRFeature&);
template ReadRow<WindHour> read_columns(const OGRFeature&);
template ReadRow<Visit> read_columns(const OGRFeature&);
template ReadRow<Settings> read_columns(const OGRFeature&);

}  // namespace leeward::io
