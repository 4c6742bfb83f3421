// The lists among the settings as JSON text, one column each. An empty list is an empty text.
#pragma once

#include "core/model/property.h"

namespace leeward::io {

/// {"name": value, ...}
std::string list_text(const std::vector<NamedValue>& values);
/// [{"name": ..., "knots": [[hours, chance], ...]}, ...]
std::string list_text(const std::vector<DeerCurve>& curves);
/// [{"name": ..., "from": ..., "until": ..., "daylight": ...}, ...]
std::string list_text(const std::vector<RutPhase>& phases);

/// False: the text is not of that form; `out` is as it was.
bool read_list(const std::string& text, std::vector<NamedValue>& out);
bool read_list(const std::string& text, std::vector<DeerCurve>& out);
bool read_list(const std::string& text, std::vector<RutPhase>& out);

}  // namespace leeward::io
