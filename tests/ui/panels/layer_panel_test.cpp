#include "ui/panels/layer_panel.h"

#include <QCheckBox>

#include <gtest/gtest.h>

#include <utility>

namespace leeward::ui {
namespace {

TEST(LayerPanel, HasASwitchForEveryLayerOfTheAir) {
  LayerPanel panel;
  ViewState told;
  QObject::connect(&panel, &LayerPanel::viewChanged, [&](const ViewState& v) { told = v; });
  for (const auto& [words, flag] : {std::pair{"Wind over the land", &ViewState::wind},
                                    {"Slope air", &ViewState::slope_air},
                                    {"Where the air is in doubt", &ViewState::doubt},
                                    {"Room for the wind to swing", &ViewState::margin},
                                    {"Legend", &ViewState::legend}}) {
    QCheckBox* found = nullptr;
    for (QCheckBox* box : panel.widget()->findChildren<QCheckBox*>())
      if (box->text() == QLatin1String(words)) found = box;
    ASSERT_TRUE(found) << words;
    EXPECT_EQ(found->isChecked(), ViewState().*flag) << words;
    const bool before = found->isChecked();
    found->click();
    EXPECT_EQ(told.*flag, !before) << words;
    EXPECT_EQ(panel.view(), told);
  }
}

}  // namespace
}  // namespace leeward::ui
