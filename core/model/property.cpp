#include "core/model/property.h"

#include <charconv>
#include <cstdio>

namespace leeward {
namespace {

constexpr std::array<KindInfo, kKindCount> kKinds = {{
    {Kind::boundary, "boundary", "boundary", "Boundary", false, false, true},
    {Kind::bedding, "bedding", "bedding", "Bedding", false, false, true},
    {Kind::food, "food", "food", "Food", false, false, true},
    {Kind::cover, "cover", "cover", "Cover", false, false, true},
    {Kind::sanctuary, "sanctuary", "sanctuary", "Sanctuary", false, false, true},
    {Kind::water, "water", "water", "Water", false, true, true},
    {Kind::deer_trail, "deer_trail", "deer trail", "Deer trails", false, true, false},
    {Kind::human_path, "human_path", "path", "Paths", false, true, false},
    {Kind::barrier, "barrier", "barrier", "Barriers", false, true, false},
    {Kind::shooting_lane, "shooting_lane", "shooting lane", "Shooting lanes", false, true, false},
    {Kind::road, "road", "road", "Roads", false, true, false},
    {Kind::dwelling, "dwelling", "dwelling", "Dwellings", true, false, true},
    {Kind::gate, "gate", "gate", "Gates", true, false, false},
    {Kind::stand, "stand", "stand", "Stands", true, false, false},
    {Kind::mock_scrape, "mock_scrape", "mock scrape", "Mock scrapes", true, false, false},
    {Kind::camera, "camera", "camera", "Cameras", true, false, false},
    {Kind::note, "note", "note", "Notes", true, false, false},
}};

template <size_t... I>
Attributes make_attributes(size_t index, std::index_sequence<I...>) {
  Attributes out;
  ((index == I ? void(out.emplace<I>()) : void()), ...);
  return out;
}

std::optional<double> number(std::string_view text) {
  double v = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), v);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return v;
}

}  // namespace

const std::array<KindInfo, kKindCount>& all_kinds() { return kKinds; }
const KindInfo& info(Kind kind) { return kKinds[static_cast<size_t>(kind)]; }

std::optional<Kind> kind_from_table(std::string_view table) {
  for (const KindInfo& k : kKinds)
    if (table == k.table) return k.kind;
  return std::nullopt;
}

bool allows(Kind kind, ShapeType type) {
  const KindInfo& k = info(kind);
  return type == ShapeType::point ? k.point : type == ShapeType::line ? k.line : k.area;
}

MonthSet MonthSet::range(int first, int last) {
  MonthSet m;
  for (int i = first;; i = i % 12 + 1) {
    m.set(i);
    if (i == last) return m;
  }
}

std::string MonthSet::str() const {
  std::string out;
  for (int m = 1; m <= 12; ++m) {
    if (!has(m)) continue;
    if (!out.empty()) out += ',';
    out += std::to_string(m);
  }
  return out;
}

std::optional<MonthSet> MonthSet::parse(std::string_view text) {
  MonthSet out;
  while (!text.empty()) {
    const size_t comma = text.find(',');
    const auto v = number(text.substr(0, comma));
    if (!v || *v < 1 || *v > 12 || *v != static_cast<int>(*v)) return std::nullopt;
    out.set(static_cast<int>(*v));
    text = comma == std::string_view::npos ? std::string_view{} : text.substr(comma + 1);
  }
  return out;
}

std::string gaps_to_text(const std::vector<Gap>& gaps) {
  std::string out;
  for (const Gap& g : gaps) {
    char text[80];
    std::snprintf(text, sizeof text, "%s%.17g:%.17g", out.empty() ? "" : ";", g.at_m, g.width_m);
    out += text;
  }
  return out;
}

std::optional<std::vector<Gap>> gaps_from_text(std::string_view text) {
  std::vector<Gap> out;
  while (!text.empty()) {
    const size_t end = text.find(';');
    const std::string_view item = text.substr(0, end);
    const size_t colon = item.find(':');
    if (colon == std::string_view::npos) return std::nullopt;
    const auto at = number(item.substr(0, colon)), width = number(item.substr(colon + 1));
    if (!at || !width || !(*width > 0)) return std::nullopt;
    out.push_back({*at, *width});
    text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
  }
  return out;
}

Attributes default_attributes(Kind kind) {
  return make_attributes(static_cast<size_t>(kind), std::make_index_sequence<kKindCount>{});
}

CoverAttrs typical_cover(CoverType type) {
  switch (type) {  // common practice, no source
    case CoverType::hardwood:
      return {type, 18, 0.06, 0.03};
    case CoverType::conifer:
      return {type, 16, 0.09, 0.09};
    case CoverType::mixed:
      return {type, 17, 0.07, 0.05};
    case CoverType::brush:
      return {type, 3, 0.20, 0.10};
    case CoverType::tall_grass:
      return {type, 1.6, 0.35, 0.25};
    case CoverType::standing_crop:
      return {type, 2.2, 0.40, 0.30};
    case CoverType::hinge_cut:
      return {type, 2.5, 0.25, 0.18};
    case CoverType::open:
      return {type, 0.2, 0, 0};
  }
  return {};
}

Feature make_feature(Kind kind, Shape shape, std::string name) {
  Feature f;
  f.uid = Uid::random();
  f.name = std::move(name);
  f.shape = std::move(shape);
  f.attrs = default_attributes(kind);
  return f;
}

std::string display_name(const Feature& f) {
  return f.name.empty() ? std::string("unnamed ") + info(f.kind()).noun : f.name;
}

}  // namespace leeward
