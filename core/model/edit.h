// Edits are data; apply() is the only way to a new version.
#pragma once

#include "core/base/result.h"
#include "core/model/document.h"

#include <string>
#include <variant>
#include <vector>

namespace leeward {

/// Adds the row, or replaces the one with its uid.
using Put = std::variant<Ref<Feature>, Ref<Weapon>, Ref<RasterLayer>, Ref<Forecast>, Ref<WindHour>,
                         Ref<Visit>, Ref<Settings>>;
struct Remove {
  Uid uid;  ///< Of a feature, weapon, raster, wind hour, visit; of a forecast: its hours go with
            ///< it.
};
using Edit = std::variant<Put, Remove>;

/// One undoable step. Steps with the same non-empty merge_key that follow each other become one
/// (a drag), until History::seal().
struct EditStep {
  std::string label;  ///< "Move stand".
  std::vector<Edit> edits;
  std::string merge_key;
};

inline Edit put(Feature f) { return Put{make_ref<Feature>(std::move(f))}; }
inline Edit put(Weapon w) { return Put{make_ref<Weapon>(std::move(w))}; }
inline Edit put(RasterLayer r) { return Put{make_ref<RasterLayer>(std::move(r))}; }
inline Edit put(Forecast f) { return Put{make_ref<Forecast>(std::move(f))}; }
inline Edit put(WindHour h) { return Put{make_ref<WindHour>(std::move(h))}; }
inline Edit put(Visit v) { return Put{make_ref<Visit>(std::move(v))}; }
inline Edit put(Settings s) { return Put{make_ref<Settings>(std::move(s))}; }

/// The next version (revision + 1); untouched rows and collections are shared.
/// ERRORS: invalid_argument for a shape that is not valid or not of its kind, an unknown time zone,
/// a number out of range; not_found for the removal of a row that is not there. `before` is
/// unchanged.
Result<Document> apply(const Document& before, const EditStep& step);

/// What is wrong with one feature in words, or empty. The same test as apply().
std::string feature_problem(const Feature& f);

}  // namespace leeward
