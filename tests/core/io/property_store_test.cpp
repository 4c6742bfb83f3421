#include "core/io/property_store.h"

#include "core/model/history.h"
#include "tests/core/io/io_support.h"

namespace leeward::io {
namespace {

using namespace testing;

Document reopened(const fs::path& path) {
  auto opened = PropertyStore::open(path, true);
  EXPECT_TRUE(opened) << (opened ? "" : opened.error().message);
  if (!opened) return {};
  EXPECT_EQ(opened->notice, "");
  return *opened->document;
}

TEST(PropertyStore, KeepsEveryKindAndAttribute) {
  const Folder folder;
  const Document document = full_document();
  {
    auto store = PropertyStore::create(folder / "all.gpkg", make_ref<Document>(document));
    ASSERT_TRUE(store) << store.error().message;
  }
  const Document again = reopened(folder / "all.gpkg");
  EXPECT_TRUE(same_content(document, again));
  for (const KindInfo& kind : all_kinds()) EXPECT_FALSE(again.of(kind.kind).empty()) << kind.table;
}

TEST(PropertyStore, LeavesNothingBesideTheFile) {
  const Folder folder;
  { auto store = PropertyStore::create(folder / "a.gpkg", make_ref<Document>(full_document())); }
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder.path()))
    names.push_back(entry.path().filename().string());
  EXPECT_EQ(names, std::vector<std::string>{"a.gpkg"});
}

TEST(PropertyStore, SavesEditsUndoAndRedoAsDifferences) {
  const Folder folder;
  const fs::path path = folder / "undo.gpkg";
  const Document first = full_document();
  History history(make_ref<Document>(first));
  auto store = PropertyStore::create(path, history.now());
  ASSERT_TRUE(store);
  Feature moved = *first.of(Kind::stand)[0];
  moved.shape = Shape::point({684800.25, 5017800.125});
  moved.name = "moved";
  history.push(
      "Move", make_ref<Document>(
                  edited(first, {put(moved), Remove{first.of(Kind::gate)[0]->uid},
                                 put(make_feature(Kind::note, Shape::point({684801, 5017801})))})));
  const Document second = *history.now();
  (*store)->save(history.now());
  ASSERT_TRUE((*store)->flush());
  EXPECT_TRUE(same_content(second, reopened(path)));
  (*store)->save(history.undo());
  ASSERT_TRUE((*store)->flush());
  EXPECT_TRUE(same_content(first, reopened(path)));
  (*store)->save(history.redo());
  ASSERT_TRUE((*store)->flush());
  EXPECT_TRUE(same_content(second, reopened(path)));
  EXPECT_EQ((*store)->state().saved, history.now()->revision);
  EXPECT_EQ((*store)->state().problem, "");
}

}  // namespace
}  // namespace leeward::io
