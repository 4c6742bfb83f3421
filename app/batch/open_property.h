// What every verb that reads a property does first: open read-only, load the terrain, choose the
// hour.
#pragma once

#include "core/eval/engine.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace leeward::batch {

struct OpenProperty {
  std::filesystem::path file;
  Ref<Document> document;
  Ref<Terrain> terrain;
};
/// Opens read-only; what was migrated or mended in reading is said on stderr. `with_terrain` false:
/// an empty terrain.
Result<OpenProperty> open_property(const std::string& file, bool with_terrain = true);

/// The hour asked for ("2026-11-14T14:30" in the property's clock, or ISO 8601 with a zone), else
/// the one stored in the print layout, else the first wind hour, else now is not known: an error
/// says so.
Result<Instant> choose_hour(const Document& document, const std::string& at);

/// Stands by name; empty names: all. ERRORS: not_found names what there is.
Result<std::vector<Uid>> choose_stands(const Document& document,
                                       const std::vector<std::string>& names);

/// A property with the hour and the stands that a call asks for.
struct Asked {
  OpenProperty property;
  Instant at{};
  std::vector<Uid> stands;
};
Result<Asked> open_asked(const std::string& file, const std::string& at,
                         const std::vector<std::string>& stands);

Result<Trade> choose_trade(const std::string& word);

Result<Ref<Results>> evaluate_at(const OpenProperty& property, Instant at, Trade trade);

/// To a file, or to stdout where `output` is empty. Returns the exit code.
Result<int> write_answer(const std::string& answer, const std::string& output);

}  // namespace leeward::batch
