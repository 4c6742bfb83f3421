#include "core/model/operations.h"

#include "core/geo/carve.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace leeward {
namespace {

Error refused(const std::string& why) { return fail(ErrorCode::invalid_argument, why); }

Result<Ref<Feature>> existing(const Document& document, const Uid& uid) {
  Ref<Feature> f = document.find(uid);
  if (!f) return fail(ErrorCode::not_found, "the feature is not there any more");
  return f;
}

Feature copy_of(const Document& document, const Feature& f, Shape shape) {
  Feature copy = f;
  copy.uid = Uid::random();
  copy.shape = std::move(shape);
  if (!copy.name.empty()) copy.name = unused_name(document, f.kind(), f.name);
  return copy;
}

/// The feature as its pieces: the first keeps its uid.
EditStep in_pieces(const Document& document, const std::string& verb, const Feature& f,
                   std::vector<Shape> pieces) {
  EditStep step{verb + " " + display_name(f), {}, {}};
  Document with = document;  // names of copies differ from each other too
  double from_m = 0;
  for (size_t i = 0; i < pieces.size(); ++i) {
    const double length = length_m(pieces[i]);
    Feature piece = f;
    if (i > 0) {
      piece = copy_of(with, f, pieces[i]);
    } else {
      piece.shape = pieces[i];
    }
    if (auto* barrier = std::get_if<BarrierAttrs>(&piece.attrs)) {
      std::erase_if(barrier->gaps,
                    [&](const Gap& g) { return g.at_m < from_m || g.at_m >= from_m + length; });
      for (Gap& g : barrier->gaps) g.at_m -= from_m;
    }
    from_m += length;
    step.edits.push_back(put(piece));
    if (auto next = apply(with, {{}, {put(std::move(piece))}, {}})) with = *std::move(next);
  }
  return step;
}

std::vector<Gap> joined_gaps(const Feature& a, const Feature& b, const JoinedLines& lines) {
  const double a_m = length_m(a.shape), b_m = length_m(b.shape), both_m = path_length_m(lines.path);
  std::vector<Gap> out;
  for (Gap g : a.as<BarrierAttrs>().gaps) {
    if (lines.b_first) g.at_m += both_m - a_m;
    out.push_back(g);
  }
  for (Gap g : b.as<BarrierAttrs>().gaps) {
    if (lines.b_reversed) g.at_m = b_m - g.at_m;
    if (!lines.b_first) g.at_m += both_m - b_m;
    out.push_back(g);
  }
  std::sort(out.begin(), out.end(), [](const Gap& l, const Gap& r) { return l.at_m < r.at_m; });
  return out;
}

bool is_end(const Shape& line, size_t index) {
  return index == 0 || index + 1 == line.path().size();
}

/// Moves the vertices of `line` that are nodes with one of `from`.
bool follow(Shape& line, const std::vector<std::pair<LocalXY, bool>>& from, LocalXY by) {
  bool any = false;
  const Shape before = line;
  for (size_t i = 0; i < before.path().size(); ++i) {
    for (const auto& [at, end] : from) {
      if (distance_m(before.path()[i], at) > kNode_m || !(end || is_end(before, i))) continue;
      line.parts[0][i] = before.path()[i] + by;
      any = true;
      break;
    }
  }
  return any;
}

void add_followers(const Document& document, const std::set<Uid>& moving, Kind kind,
                   const std::vector<std::pair<LocalXY, bool>>& from, LocalXY by,
                   const MayFollow& may_follow, std::map<Uid, Feature>& out) {
  for (const auto& rows : document.features) {
    for (const auto& f : *rows) {
      if (f->shape.type != ShapeType::line || !shares_nodes(kind, f->kind())) continue;
      if (moving.contains(f->uid) || !may_follow(*f)) continue;
      const auto known = out.find(f->uid);
      Feature next = known == out.end() ? *f : known->second;
      if (follow(next.shape, from, by)) out.insert_or_assign(f->uid, std::move(next));
    }
  }
}

/// Drops what a feature names and this property does not have.
void drop_strangers(const Document& document, Feature& f) {
  const auto known = [&](const Uid& uid) {
    return document.find_weapon(uid) != nullptr || document.find(uid) != nullptr;
  };
  const auto keep = [&](std::vector<Uid>& uids) {
    std::erase_if(uids, [&](const Uid& uid) { return !known(uid); });
  };
  if (auto* s = std::get_if<StandAttrs>(&f.attrs)) keep(s->weapons);
  if (auto* m = std::get_if<MockScrapeAttrs>(&f.attrs)) keep(m->stands), keep(m->cameras);
}

/// Vertices for the lines on whose edges an end of `f` stands.
void add_nodes(const Document& document, const Feature& f, std::vector<Edit>& edits) {
  if (f.shape.type != ShapeType::line) return;
  for (const auto& rows : document.features) {
    for (const auto& other : *rows) {
      if (other->shape.type != ShapeType::line || other->uid == f.uid) continue;
      if (!shares_nodes(f.kind(), other->kind())) continue;
      Feature next = *other;
      Path& path = next.shape.parts[0];
      bool any = false;
      for (const LocalXY end : {f.shape.path().front(), f.shape.path().back()}) {
        const auto near = [&](LocalXY v) { return distance_m(v, end) <= kNode_m; };
        if (std::any_of(path.begin(), path.end(), near)) continue;
        for (size_t i = 1; i < path.size(); ++i) {
          if (nearest_on_path({path[i - 1], path[i]}, end).distance_m > kNode_m) continue;
          path.insert(path.begin() + static_cast<std::ptrdiff_t>(i), end);
          any = true;
          break;
        }
      }
      if (any) edits.push_back(put(std::move(next)));
    }
  }
}

}  // namespace

bool shares_nodes(Kind a, Kind b) {
  const auto way = [](Kind k) {
    return k == Kind::deer_trail || k == Kind::human_path || k == Kind::road;
  };
  if (way(a)) return way(b);
  return a == b && (a == Kind::water || a == Kind::barrier);
}

std::string unused_name(const Document& document, Kind kind, const std::string& name) {
  std::string out = name;
  const auto taken = [&] {
    return std::any_of(document.of(kind).begin(), document.of(kind).end(),
                       [&](const auto& f) { return f->name == out; });
  };
  for (int n = 2; taken(); ++n) out = name + " " + std::to_string(n);
  return out;
}

Result<EditStep> split_step(const Document& document, const Uid& uid, const Path& cut) {
  auto f = existing(document, uid);
  if (!f) return std::move(f.error());
  auto pieces = split_by((*f)->shape, cut);
  if (!pieces) return std::move(pieces.error());
  return in_pieces(document, "Split", **f, *std::move(pieces));
}

Result<EditStep> join_step(const Document& document, const Uid& a_uid, const Uid& b_uid) {
  auto a = existing(document, a_uid), b = existing(document, b_uid);
  if (!a) return std::move(a.error());
  if (!b) return std::move(b.error());
  const bool lines = (*a)->shape.type == ShapeType::line && (*b)->shape.type == ShapeType::line;
  if (!lines || (*a)->kind() != (*b)->kind() || a_uid == b_uid)
    return refused("choose two lines of one kind to join them");
  JoinedLines joint = joined((*a)->shape.path(), (*b)->shape.path());
  Feature one = **a;
  if (auto* barrier = std::get_if<BarrierAttrs>(&one.attrs))
    barrier->gaps = joined_gaps(**a, **b, joint);
  one.shape.parts[0] = std::move(joint.path);
  if (one.name.empty()) one.name = (*b)->name;
  return EditStep{"Join " + display_name(**a) + " and " + display_name(**b),
                  {put(std::move(one)), Remove{b_uid}},
                  {}};
}

Result<EditStep> merge_step(const Document& document, const std::vector<Uid>& uids) {
  if (uids.size() < 2) return refused("choose two areas or more of one kind to merge them");
  std::vector<Shape> shapes;
  EditStep step;
  Feature one;
  for (const Uid& uid : uids) {
    auto f = existing(document, uid);
    if (!f) return std::move(f.error());
    if (shapes.empty()) one = **f;
    if ((*f)->shape.type != ShapeType::area || (*f)->kind() != one.kind())
      return refused("choose two areas or more of one kind to merge them");
    if (!shapes.empty()) step.edits.emplace_back(Remove{uid});
    shapes.push_back((*f)->shape);
  }
  auto shape = merged(shapes);
  if (!shape) return std::move(shape.error());
  one.shape = *std::move(shape);
  step.label = "Merge " + std::to_string(uids.size()) + " " + info(one.kind()).plural;
  step.edits.insert(step.edits.begin(), put(std::move(one)));
  return step;
}

Result<EditStep> hole_step(const Document& document, const Uid& uid, const Path& ring) {
  auto f = existing(document, uid);
  if (!f) return std::move(f.error());
  if ((*f)->shape.type != ShapeType::area) return refused("only an area can have a hole");
  auto pieces = cut_out((*f)->shape, ring);
  if (!pieces) return std::move(pieces.error());
  return in_pieces(document, "Cut a hole in", **f, *std::move(pieces));
}

Result<EditStep> reshape_step(const Document& document, const Uid& uid, const Path& drawn) {
  auto f = existing(document, uid);
  if (!f) return std::move(f.error());
  auto shape = reshaped((*f)->shape, drawn);
  if (!shape) return std::move(shape.error());
  return in_pieces(document, "Reshape", **f, {*std::move(shape)});
}

Result<EditStep> strip_step(const Document& document, const Uid& uid, Kind kind, double width_m) {
  auto f = existing(document, uid);
  if (!f) return std::move(f.error());
  if ((*f)->shape.type != ShapeType::line) return refused("a strip is made along a line");
  if (!info(kind).area) return refused(std::string(info(kind).noun) + " cannot be an area");
  auto pieces = strip_along((*f)->shape.path(), width_m);
  if (!pieces) return std::move(pieces.error());
  EditStep step{"Make a strip along " + display_name(**f), {}, {}};
  for (Shape& piece : *pieces) step.edits.push_back(put(make_feature(kind, std::move(piece))));
  return step;
}

EditStep remove_step(const Document& document, const std::vector<Uid>& uids) {
  EditStep step;
  Ref<Feature> only;
  for (const Uid& uid : uids) {
    const Ref<Feature> f = document.find(uid);
    if (!f) continue;
    only = f;
    step.edits.emplace_back(Remove{uid});
  }
  step.label = step.edits.size() == 1 ? "Delete " + display_name(*only)
                                      : "Delete " + std::to_string(step.edits.size()) + " features";
  return step;
}

EditStep paste_step(const Document& document, const std::vector<Feature>& features, LocalXY by,
                    const std::string& verb) {
  EditStep step;
  Document with = document;
  for (const Feature& f : features) {
    Shape shape = f.shape;
    for (Path& part : shape.parts)
      for (LocalXY& v : part) v = v + by;
    Feature copy = copy_of(with, f, std::move(shape));
    drop_strangers(document, copy);
    if (auto next = apply(with, {{}, {put(copy)}, {}})) with = *std::move(next);
    step.edits.push_back(put(std::move(copy)));
  }
  step.label = verb + " " +
               (features.size() == 1 ? display_name(features[0])
                                     : std::to_string(features.size()) + " features");
  return step;
}

Result<DrawStep> draw_step(const Document& document, const Feature& feature,
                           const std::string& label) {
  auto mended = repaired(feature.shape);
  if (!mended) return std::move(mended.error());
  DrawStep out{{label, {}, {}}, mended->note};
  Feature first = feature;
  first.shape = mended->pieces[0];
  add_nodes(document, first, out.step.edits);
  out.step.edits.push_back(put(std::move(first)));
  for (size_t i = 1; i < mended->pieces.size(); ++i)
    out.step.edits.push_back(put(copy_of(document, feature, std::move(mended->pieces[i]))));
  return out;
}

std::vector<Edit> moved(const Document& document, const std::vector<Uid>& uids, LocalXY by,
                        const MayFollow& may_follow) {
  std::vector<Edit> edits;
  std::map<Uid, Feature> followers;
  const std::set<Uid> moving(uids.begin(), uids.end());
  for (const Uid& uid : uids) {
    const Ref<Feature> f = document.find(uid);
    if (!f) continue;
    if (f->shape.type == ShapeType::line) {
      std::vector<std::pair<LocalXY, bool>> nodes;
      for (size_t i = 0; i < f->shape.path().size(); ++i)
        nodes.emplace_back(f->shape.path()[i], is_end(f->shape, i));
      add_followers(document, moving, f->kind(), nodes, by, may_follow, followers);
    }
    Feature next = *f;
    for (Path& part : next.shape.parts)
      for (LocalXY& v : part) v = v + by;
    edits.push_back(put(std::move(next)));
  }
  for (auto& [uid, f] : followers) edits.push_back(put(std::move(f)));
  return edits;
}

std::vector<Edit> moved_vertex(const Document& document, const Feature& feature, size_t part,
                               size_t index, LocalXY to, const MayFollow& may_follow) {
  Feature next = feature;
  LocalXY& vertex = next.shape.parts.at(part).at(index);
  const LocalXY from = vertex;
  vertex = to;
  std::vector<Edit> edits = {put(std::move(next))};
  if (feature.shape.type != ShapeType::line) return edits;
  std::map<Uid, Feature> followers;
  add_followers(document, {feature.uid}, feature.kind(), {{from, is_end(feature.shape, index)}},
                to - from, may_follow, followers);
  for (auto& [uid, f] : followers) edits.push_back(put(std::move(f)));
  return edits;
}

std::optional<CanopyUnder> canopy_under(const Raster<float>& canopy_m, const Shape& area) {
  constexpr float kOpen_m = 1;
  std::vector<float> crowns;
  CanopyUnder out;
  for_each_cell_in(area, canopy_m.spec, [&](int col, int row) {
    const float h = canopy_m.at(col, row);
    if (std::isnan(h)) return;
    ++out.cells;
    if (h > kOpen_m) crowns.push_back(h);
  });
  if (out.cells == 0) return std::nullopt;
  out.crowns = static_cast<double>(crowns.size()) / out.cells;
  if (crowns.empty()) return out;
  const auto quarter = crowns.begin() + static_cast<std::ptrdiff_t>(crowns.size() * 3 / 4);
  std::nth_element(crowns.begin(), quarter, crowns.end());
  out.height_m = static_cast<double>(*quarter);
  return out;
}

Result<EditStep> cover_from_canopy_step(const Document& document, const Uid& uid,
                                        const Raster<float>& canopy_m) {
  auto f = existing(document, uid);
  if (!f) return std::move(f.error());
  if ((*f)->kind() != Kind::cover || (*f)->shape.type != ShapeType::area)
    return refused("choose an area of cover first");
  const auto under = canopy_under(canopy_m, (*f)->shape);
  if (!under)
    return fail(ErrorCode::not_found,
                "no tree tops are known under it: add a surface raster that covers it");
  Feature next = **f;
  auto& cover = next.as<CoverAttrs>();
  const CoverAttrs typical = typical_cover(cover.type);
  cover.height_m = std::min(std::round(under->height_m * 10) / 10, 90.0);
  const auto share = [&](double per_m) { return std::round(per_m * under->crowns * 1000) / 1000; };
  cover.leaf_on_per_m = share(typical.leaf_on_per_m);
  cover.leaf_off_per_m = share(typical.leaf_off_per_m);
  return EditStep{
      "Take height of " + display_name(next) + " from the tree tops", {put(std::move(next))}, {}};
}

}  // namespace leeward
