// What a hand does to whole features, as steps. Pure: nothing is applied here.
#pragma once

#include "core/geo/raster.h"
#include "core/model/edit.h"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace leeward {

/// Line ends this close are one node.
inline constexpr double kNode_m = 0.01;

/// True when lines of the two kinds share nodes: trails, paths and roads with one another, water
/// with water, barriers with barriers.
bool shares_nodes(Kind a, Kind b);

/// A name that no feature of the kind has: `name` itself, or "name 2".
std::string unused_name(const Document& document, Kind kind, const std::string& name);

/// The feature's first piece keeps its uid and name, further ones are copies with their own; gaps
/// of a barrier stay where they are on the ground.
/// ERRORS: not_found; invalid_argument with the reason in words.
Result<EditStep> split_step(const Document& document, const Uid& uid, const Path& cut);
/// `b` is joined to `a` and goes. ERRORS: as above, and for two that are not lines of one kind.
Result<EditStep> join_step(const Document& document, const Uid& a, const Uid& b);
/// All are merged into the first. ERRORS: as above, and for others than areas of one kind.
Result<EditStep> merge_step(const Document& document, const std::vector<Uid>& uids);
Result<EditStep> hole_step(const Document& document, const Uid& uid, const Path& ring);
Result<EditStep> reshape_step(const Document& document, const Uid& uid, const Path& drawn);
/// A new area of `kind` along a line, which stays. ERRORS: as above.
Result<EditStep> strip_step(const Document& document, const Uid& uid, Kind kind, double width_m);

/// Removes them all; uids of nothing are passed over.
EditStep remove_step(const Document& document, const std::vector<Uid>& uids);
/// Copies with uids of their own, shifted by `by`; weapons, stands and cameras that this property
/// does not have are dropped from them.
EditStep paste_step(const Document& document, const std::vector<Feature>& features, LocalXY by,
                    const std::string& verb);

/// A new feature; an area that is not valid is repaired. A line whose end stands on the edge of
/// another that shares nodes gives that one a vertex there.
struct DrawStep {
  EditStep step;
  std::string note;  ///< "repaired (Self-intersection at ...) into 2 pieces", or empty.
};
/// ERRORS: invalid_argument when the shape cannot be repaired.
Result<DrawStep> draw_step(const Document& document, const Feature& feature,
                           const std::string& label);

/// Which features follow when others move (locked kinds do not).
using MayFollow = std::function<bool(const Feature&)>;
/// The features as they are after a move of `uids`, and the lines joined to their ends with them.
std::vector<Edit> moved(const Document& document, const std::vector<Uid>& uids, LocalXY by,
                        const MayFollow& may_follow);
/// The feature with one vertex elsewhere, and, when lines share it as a node, those with it.
std::vector<Edit> moved_vertex(const Document& document, const Feature& feature, size_t part,
                               size_t index, LocalXY to, const MayFollow& may_follow);

/// What the canopy raster says of a patch of cover.
struct CanopyUnder {
  double height_m = 0;  ///< The height that a quarter of its crowns overtop.
  double crowns = 0;    ///< Share of its ground under something taller than 1 m.
  int cells = 0;        ///< Known cells inside.
};
/// Nothing without a known cell inside. Cells of 1 m and less are open ground.
std::optional<CanopyUnder> canopy_under(const Raster<float>& canopy_m, const Shape& area);
/// Sets height, and densities as the type's own over the share under crowns. ERRORS: not_found
/// without canopy there, invalid_argument when it is not an area of cover.
Result<EditStep> cover_from_canopy_step(const Document& document, const Uid& uid,
                                        const Raster<float>& canopy_m);

}  // namespace leeward
