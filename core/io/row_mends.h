// Values that an edit would refuse and another program may have put into a property file all the
// same. The bounds are those of apply() (model/edit.cpp), so what is read may be put back.
#pragma once

#include "core/model/property.h"

#include <cstdint>
#include <map>
#include <string>
#include <vector>

class GDALDataset;
class OGRFeature;
class OGRLayer;

namespace leeward::io {

/// Number columns of a table in which a row holds words or bytes, by fid. SQLite keeps them, and
/// GDAL reads them as 0, which would be an entry of its own.
using NoNumbers = std::map<std::int64_t, std::vector<std::string>>;
NoNumbers no_numbers(GDALDataset& dataset, OGRLayer& layer);
/// Empties those cells of a row that was read; returns what was wrong, a text a cell.
std::vector<std::string> mend(OGRFeature& row, const NoNumbers& found);

/// Takes away what no wind can be (720 degrees, -3 m/s): it counts as unknown. Returns what was
/// wrong with the first such value, or an empty text.
std::string mend(WindHour& hour);

/// Entries that no edit would take: a setback or a farthest travel counts as not entered, rings
/// that do not rise are left out, a reach that is none is the usual one. Each is said in a
/// sentence's part with what it counts as now; empty: nothing was wrong.
std::vector<std::string> mend(Weapon& weapon);

/// Numbers out of bounds get their usual value; each is named in `notes`.
void mend(Settings& settings, std::vector<std::string>& notes);

}  // namespace leeward::io
