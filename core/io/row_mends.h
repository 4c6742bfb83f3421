// Values that an edit would refuse and another program may have put into a property file all the
// same. The bounds are those of apply() (model/edit.cpp), so what is read may be put back.
#pragma once

#include "core/model/property.h"

#include <string>
#include <vector>

namespace leeward::io {

/// Takes away what no wind can be (720 degrees, -3 m/s): it counts as unknown. Returns what was
/// wrong with the first such value, or an empty text.
std::string mend(WindHour& hour);

/// Numbers out of bounds get their usual value; each is named in `notes`.
void mend(Settings& settings, std::vector<std::string>& notes);

}  // namespace leeward::io
