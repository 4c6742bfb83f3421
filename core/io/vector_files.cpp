#include "core/io/vector_files.h"

#include "core/io/forecast_parse.h"
#include "core/model/edit.h"

#include <algorithm>
#include <array>
#include <map>

namespace leeward::io {
namespace {

const char* noun(ShapeType type) {
  return type == ShapeType::point ? "a point" : type == ShapeType::line ? "a line" : "an area";
}

/// Words of files, in lower case, and what they mean; the first that fits counts.
struct Word {
  const char* word;
  Kind kind;
};
constexpr std::array kWords = {Word{"parcel", Kind::boundary},
                               Word{"boundary", Kind::boundary},
                               Word{"property line", Kind::boundary},
                               Word{"bed", Kind::bedding},
                               Word{"sanctuary", Kind::sanctuary},
                               Word{"refuge", Kind::sanctuary},
                               Word{"deer trail", Kind::deer_trail},
                               Word{"game trail", Kind::deer_trail},
                               Word{"scrape", Kind::mock_scrape},
                               Word{"camera", Kind::camera},
                               Word{"blind", Kind::stand},
                               Word{"stand", Kind::stand},
                               Word{"ladder", Kind::stand},
                               Word{"gate", Kind::gate},
                               Word{"parking", Kind::gate},
                               Word{"lane", Kind::shooting_lane},
                               Word{"fence", Kind::barrier},
                               Word{"cliff", Kind::barrier},
                               Word{"wall", Kind::barrier},
                               Word{"creek", Kind::water},
                               Word{"stream", Kind::water},
                               Word{"river", Kind::water},
                               Word{"pond", Kind::water},
                               Word{"lake", Kind::water},
                               Word{"water", Kind::water},
                               Word{"flowline", Kind::water},
                               Word{"road", Kind::road},
                               Word{"street", Kind::road},
                               Word{"highway", Kind::road},
                               Word{"building", Kind::dwelling},
                               Word{"house", Kind::dwelling},
                               Word{"dwelling", Kind::dwelling},
                               Word{"plot", Kind::food},
                               Word{"crop", Kind::food},
                               Word{"food", Kind::food},
                               Word{"field", Kind::food},
                               Word{"wood", Kind::cover},
                               Word{"forest", Kind::cover},
                               Word{"timber", Kind::cover},
                               Word{"cover", Kind::cover},
                               Word{"trail", Kind::deer_trail},
                               Word{"path", Kind::human_path},
                               Word{"track", Kind::human_path},
                               Word{"route", Kind::human_path},
                               Word{"waypoint", Kind::note},
                               Word{"note", Kind::note}};

std::string lower(std::string s) {
  for (char& c : s)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return s;
}

/// Whether a kind can be had from a shape; an outline closed by a GPS may be an area.
bool can_be(Kind kind, ShapeType type) {
  return allows(kind, type) || (type == ShapeType::line && allows(kind, ShapeType::area));
}

const std::string& group_label(const VectorRow& row, int field) {
  static const std::string kNone;
  if (field < 0) return row.layer;
  const auto i = static_cast<size_t>(field);
  return i < row.values.size() ? row.values[i] : kNone;
}

class Taker {
 public:
  explicit Taker(const VectorRows& rows) {
    out_.left_out = rows.left_out;
    out_.notes = rows.notes;
  }

  void take(const VectorRow& row, Kind kind) {
    Shape shape = row.shape;
    if (!fit(shape, kind, row.which)) {
      ++wrong_shape_[{kind, shape.type}];
      return void(++out_.left_out);
    }
    auto mended = repaired(shape);
    if (!mended || mended->pieces.empty()) {
      note(row.which +
           " was left out: " + (mended ? shape_problem(shape) : mended.error().message) + ".");
      return void(++out_.left_out);
    }
    if (!mended->note.empty()) {
      note(row.which + ": " + mended->note + ".");
      ++out_.changed;
    }
    for (Shape& piece : mended->pieces) {
      Feature f = make_feature(kind, std::move(piece), row.name);
      if (const std::string why = feature_problem(f); !why.empty()) {
        ++out_.left_out;
        note(row.which + " was left out: " + why + ".");
        continue;
      }
      out_.features.push_back(std::move(f));
      ++out_.taken;
    }
  }
  void leave_out() { ++out_.left_out, ++not_wanted_; }

  VectorImport result() {
    const auto features = [](size_t n) {
      return std::to_string(n) + (n == 1 ? " feature" : " features") + " left out: ";
    };
    for (const auto& [what, n] : wrong_shape_)
      out_.notes.push_back(features(n) + info(what.first).noun + " cannot be " + noun(what.second) +
                           ".");
    if (not_wanted_ > 0) out_.notes.push_back(features(not_wanted_) + "no kind was chosen.");
    std::vector<std::string> notes = notes_.take();
    out_.notes.insert(out_.notes.begin(), notes.begin(), notes.end());
    return std::move(out_);
  }

 private:
  void note(std::string sentence) { notes_.add(std::move(sentence)); }

  /// A closed track may stand for an area: a GPS rarely knows which was meant.
  bool fit(Shape& shape, Kind kind, const std::string& which) {
    if (allows(kind, shape.type)) return true;
    if (shape.type == ShapeType::line && allows(kind, ShapeType::area) && shape.path().size() > 3 &&
        shape.path().front() == shape.path().back()) {
      shape.type = ShapeType::area;
      shape.parts[0].pop_back();
      note(which + " is a closed line and was taken as an area.");
      ++out_.changed;
      return true;
    }
    return false;
  }

  VectorImport out_;
  Notes notes_;
  std::map<std::pair<Kind, ShapeType>, size_t> wrong_shape_;
  size_t not_wanted_ = 0;
};

}  // namespace

std::optional<Kind> guessed_kind(const std::string& words, ShapeType type) {
  const std::string text = lower(words);
  if (const auto kind = kind_from_table(text); kind && can_be(*kind, type)) return kind;
  for (const Word& w : kWords)
    if (can_be(w.kind, type) && text.find(w.word) != std::string::npos) return w.kind;
  return std::nullopt;
}

std::vector<ImportGroup> groups_of(const VectorRows& rows, int field, size_t most) {
  std::vector<ImportGroup> out;
  std::map<std::pair<std::string, ShapeType>, size_t> places;
  for (const VectorRow& row : rows.rows) {
    const std::string& label = group_label(row, field);
    auto [place, added] = places.try_emplace({label, row.shape.type}, out.size());
    if (added && out.size() < most) {
      out.push_back({label, row.shape.type, 0, guessed_kind(label, row.shape.type)});
      if (!out.back().kind) out.back().kind = guessed_kind(row.layer, row.shape.type);
      if (!out.back().kind) out.back().kind = guessed_kind(row.name, row.shape.type);
    } else if (added) {
      place->second = out.size() - 1;
    }
    ++out[place->second].count;
  }
  return out;
}

VectorImport take_rows(const VectorRows& rows, int field, const std::vector<ImportGroup>& groups) {
  std::map<std::pair<std::string, ShapeType>, std::optional<Kind>> kinds;
  for (const ImportGroup& g : groups) kinds[{g.label, g.type}] = g.kind;
  Taker taker(rows);
  for (const VectorRow& row : rows.rows) {
    const auto it = kinds.find({group_label(row, field), row.shape.type});
    const std::optional<Kind> kind = it != kinds.end() ? it->second
                                     : !groups.empty() ? groups.back().kind
                                                       : std::nullopt;
    if (kind) {
      taker.take(row, *kind);
    } else {
      taker.leave_out();
    }
  }
  return taker.result();
}

Result<VectorImport> read_vector(const std::filesystem::path& path, Kind kind, const Frame& frame) {
  auto rows = read_vector_rows(path, frame);
  if (!rows) return std::move(rows.error());
  Taker taker(*rows);
  for (const VectorRow& row : rows->rows) taker.take(row, kind);
  return taker.result();
}

}  // namespace leeward::io
