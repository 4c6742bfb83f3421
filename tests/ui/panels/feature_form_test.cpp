#include "ui/panels/feature_form.h"

#include "tests/support/small_property.h"
#include "ui/panels/field_editors.h"
#include "ui/session/edit_session.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QLineEdit>
#include <QPushButton>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

class Form : public ::testing::Test {
 protected:
  Form() : session_(make_ref<Document>(testing::small_property())) {
    QObject::connect(&form_, &FeatureForm::edited, [this](const EditStep& step, bool finished) {
      ASSERT_TRUE(session_.apply(step).has_value());
      if (finished) session_.seal();
      form_.setFeature(session_.document(), session_.selected(), false);
    });
  }
  void show(Kind kind) {
    session_.select(session_.document()->of(kind).front()->uid);
    form_.setFeature(session_.document(), session_.selected(), false);
  }
  EditSession session_;
  FeatureForm form_;
};

TEST_F(Form, EveryKindShowsOneRowForEveryField) {
  for (const KindInfo& k : all_kinds()) {
    const Feature f = make_feature(k.kind, Shape::point({0, 0}));
    form_.setFeature(session_.document(), make_ref<Feature>(f), false);
    int fields = 0;
    std::visit(
        [&](const auto& attrs) {
          std::decay_t<decltype(attrs)>::fields(
              [&](const char*, auto, const char*, const char*) { ++fields; });
        },
        f.attrs);
    const auto editors = form_.widget()->findChildren<QComboBox*>().size() +
                         form_.widget()->findChildren<QCheckBox*>().size() +
                         form_.widget()->findChildren<QDoubleSpinBox*>().size() +
                         form_.widget()->findChildren<QPushButton*>().size() +
                         form_.widget()->findChildren<QLineEdit*>().size();
    EXPECT_GE(editors, fields + 1) << k.table;  // and the name
  }
}

TEST_F(Form, FeetOnScreenAreMetresInTheDocument) {
  show(Kind::stand);
  auto* height = form_.widget()->findChildren<QDoubleSpinBox*>().front();
  EXPECT_NEAR(height->value(), 5 / 0.3048, 0.05);
  height->setValue(20);
  EXPECT_NEAR(session_.selected()->as<StandAttrs>().platform_m, 20 * 0.3048, 1e-9);
}

TEST_F(Form, TypingANameIsOneUndoStep) {
  show(Kind::stand);
  const std::string before = session_.selected()->name;
  auto* name = form_.widget()->findChildren<QLineEdit*>().front();
  for (const char* typed : {"N", "No", "Nor", "North"}) {
    name->setText(QString::fromLatin1(typed));
    emit name->textEdited(name->text());
  }
  EXPECT_EQ(session_.selected()->name, "North");
  session_.undo();
  EXPECT_EQ(session_.selected()->name, before);
}

TEST_F(Form, MonthsToggle) {
  show(Kind::food);
  EXPECT_TRUE(session_.selected()->as<FoodAttrs>().months.has(10));
  for (QPushButton* b : form_.widget()->findChildren<QPushButton*>())
    if (b->text() == QLatin1String("Oct")) b->click();
  EXPECT_FALSE(session_.selected()->as<FoodAttrs>().months.has(10));
}

TEST_F(Form, AnotherCoverTypeBringsItsTypicalDensity) {
  show(Kind::cover);
  auto* type = form_.widget()->findChildren<QComboBox*>().front();
  const int conifer = type->findData(static_cast<int>(CoverType::conifer));
  type->setCurrentIndex(conifer);
  emit type->activated(conifer);
  EXPECT_EQ(session_.selected()->as<CoverAttrs>(), typical_cover(CoverType::conifer));
}

TEST_F(Form, GapsOpenAndClose) {
  show(Kind::barrier);
  const auto click = [&](const char* words) {
    for (QPushButton* b : form_.widget()->findChildren<QPushButton*>())
      if (b->text() == QString::fromUtf8(words)) return b->click();
    ADD_FAILURE() << "no button " << words;
  };
  click("Open a gap");
  EXPECT_EQ(session_.selected()->as<BarrierAttrs>().gaps.size(), 2U);
  click("×");
  EXPECT_EQ(session_.selected()->as<BarrierAttrs>().gaps.size(), 1U);
}

}  // namespace
}  // namespace leeward::ui
