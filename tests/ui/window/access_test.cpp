// Everything can be reached, named and seen without a mouse: names of controls, focus that shows in
// both themes, the order of Tab, keys, the size of text.
#include "tests/support/small_property.h"
#include "ui/panels/dialogs.h"
#include "ui/panels/emergency_dialog.h"
#include "ui/panels/forecasts_dialog.h"
#include "ui/panels/help_window.h"
#include "ui/panels/hour_strip.h"
#include "ui/panels/judgement_dialog.h"
#include "ui/panels/keys_dialog.h"
#include "ui/panels/look.h"
#include "ui/panels/new_property_dialog.h"
#include "ui/panels/phone_dialog.h"
#include "ui/panels/place_dialog.h"
#include "ui/panels/plan_view.h"
#include "ui/panels/print_panel.h"
#include "ui/panels/season_view.h"
#include "ui/panels/strip_dialog.h"
#include "ui/panels/tie_dialog.h"
#include "ui/panels/visit_dialog.h"
#include "ui/panels/weapons_dialog.h"
#include "ui/session/preferences.h"
#include "ui/session/step_words.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QAbstractButton>
#include <QAccessible>
#include <QAction>
#include <QApplication>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QLineEdit>
#include <QScrollArea>
#include <QTabWidget>
#include <QTest>
#include <QTranslator>

#include <gtest/gtest.h>

#include <functional>
#include <set>

namespace leeward::ui {
namespace {

/// "PrintDialog/QSpinBox copies" to find a widget by.
std::string pathOf(const QWidget& w) {
  QString out;
  for (const QWidget* at = &w; at; at = at->parentWidget())
    out.prepend(QLatin1Char('/') + QLatin1String(at->metaObject()->className()) +
                (at->objectName().isEmpty() ? QString() : QLatin1Char(':') + at->objectName()));
  return out.toStdString();
}

/// Widgets that Tab can reach. Parts of a spin box or a list that take its focus do not count.
std::vector<QWidget*> stops(QWidget& window) {
  std::vector<QWidget*> out;
  for (QWidget* w : window.findChildren<QWidget*>()) {
    if (!(w->focusPolicy() & Qt::TabFocus) || w->focusProxy() || !w->isVisibleTo(&window) ||
        !w->isEnabled() || w->window() != &window)
      continue;
    const QWidget* parent = w->parentWidget();
    if (qobject_cast<const QAbstractSpinBox*>(parent) || qobject_cast<const QComboBox*>(parent))
      continue;
    out.push_back(w);
  }
  return out;
}

bool differs(QRgb a, QRgb b) {
  return std::abs(qRed(a) - qRed(b)) + std::abs(qGreen(a) - qGreen(b)) +
             std::abs(qBlue(a) - qBlue(b)) >
         90;
}

QString nameOf(QWidget& w) {
  QAccessibleInterface* access = QAccessible::queryAccessibleInterface(&w);
  return access ? access->text(QAccessible::Name).trimmed() : w.accessibleName();
}

class Access : public ::testing::Test {
 protected:
  Access() {
    window_.resize(1280, 900);
    window_.adopt(std::make_unique<EditSession>(make_ref<Document>(testing::small_property())));
    window_.show();
    static_cast<void>(QTest::qWaitForWindowActive(&window_));
  }
  ~Access() override { wearLook({}); }

  std::vector<QAction*> keyed() const {
    std::vector<QAction*> out;
    for (QAction* a : window_.findChildren<QAction*>())
      if (!a->objectName().isEmpty() && !a->text().isEmpty()) out.push_back(a);
    return out;
  }
  /// Calls `visit` with the main window at each of its tabs, and with each dialog.
  void everywhere(const std::function<void(QWidget&, const char*)>& visit) {
    auto* tabs = window_.findChild<QTabWidget*>();
    window_.session()->select(window_.session()->document()->of(Kind::stand).front()->uid);
    for (int i = 0; i < tabs->count(); ++i) {
      tabs->setCurrentIndex(i);
      QApplication::processEvents();
      visit(window_, "main window");
    }
    EditSession& session = *window_.session();
    const Document& doc = *session.document();
    const auto show = [&](QWidget&& dialog, const char* what) {
      dialog.show();
      QApplication::processEvents();
      visit(dialog, what);
    };
    show(SettingsDialog(session, &window_), "settings");
    show(NewPropertyDialog(&window_), "new property");
    show(PlaceDialog(&window_), "place");
    show(EmergencyDialog(doc, &window_), "emergency");
    show(JudgementDialog(session, &window_), "judgement");
    show(PrintPanel(doc, {}, Trade::balanced), "print");
    show(PhoneDialog(doc, &window_), "phone");
    show(TieDialog(QStringLiteral("photo"), QImage(40, 40, QImage::Format_RGB32), {40, 40}, {},
                   UnitSystem::us, &window_),
         "tie");
    show(ForecastsDialog(session, &window_), "forecasts");
    show(HelpWindow(&window_), "help");
    show(StripDialog(QStringLiteral("a trail"), UnitSystem::us, &window_), "strip");
    show(VisitDialog(session, Instant{}, &window_), "visits");
    show(WeaponsDialog(session, &window_), "weapons");
    show(KeysDialog(keyed(), &window_), "keys");
    show(PlanView(), "plan");
    show(SeasonView(), "season");
  }

  MainWindow window_{std::filesystem::path()};
};

TEST_F(Access, EveryControlHasAName) {
  everywhere([](QWidget& place, const char* what) {
    for (QWidget* w : stops(place))
      EXPECT_FALSE(nameOf(*w).isEmpty()) << what << ": " << pathOf(*w);
  });
}

TEST_F(Access, TabReachesEveryControlOfTheWindowAndOfEachDialog) {
  everywhere([](QWidget& place, const char* what) {
    std::set<QWidget*> chain;
    QWidget* at = &place;
    do {
      chain.insert(at);
      at = at->nextInFocusChain();
    } while (at != &place && chain.size() < 5000);
    for (QWidget* w : stops(place)) EXPECT_TRUE(chain.contains(w)) << what << ": " << pathOf(*w);
    EXPECT_FALSE(stops(place).empty()) << what;
  });
}

TEST_F(Access, FocusShowsInBothThemes) {
  for (const ThemeChoice theme_now : {ThemeChoice::light, ThemeChoice::dark}) {
    wearLook({theme_now, 1.0});
    everywhere([](QWidget& place, const char* what) {
      if (QWidget* now = QApplication::focusWidget()) now->clearFocus();
      for (QWidget* w : stops(place)) {
        for (QWidget* at = w->parentWidget(); at; at = at->parentWidget())
          if (auto* scroll = qobject_cast<QScrollArea*>(at)) scroll->ensureWidgetVisible(w);
        const QImage before = w->grab().toImage();
        place.activateWindow();
        w->setFocus(Qt::TabFocusReason);
        QApplication::processEvents();
        if (!w->hasFocus()) continue;  // it gives the focus on to a part of it
        const QImage after = w->grab().toImage();
        int changed = 0;
        for (int y = 0; y < before.height(); ++y)
          for (int x = 0; x < before.width(); ++x)
            changed += differs(before.pixel(x, y), after.pixel(x, y));
        EXPECT_GE(changed, 20) << what << ": " << pathOf(*w) << " dark: " << theme().dark;
        w->clearFocus();
      }
    });
  }
}

TEST_F(Access, ThemeAndTextChangeAtOnceAndAreKept) {
  const auto choose = [this](const QString& words) {
    for (QAction* a : window_.findChildren<QAction*>())
      if (QString(a->text()).remove(QLatin1Char('&')) == words) return a->trigger();
    FAIL() << words.toStdString();
  };
  choose(QStringLiteral("Dark"));
  EXPECT_EQ(window_.palette().color(QPalette::Window), darkTheme().paper);
  const int high = window_.strip()->height();
  const int words_px = QApplication::font().pixelSize();
  choose(QStringLiteral("200 %"));
  EXPECT_EQ(window_.strip()->height(), 2 * high);
  EXPECT_EQ(QApplication::font().pixelSize(), 2 * words_px);
  EXPECT_EQ(window_.canvas()->transform().type(10), 20);
  EXPECT_EQ(preferences::keptLook(), (preferences::Look{ThemeChoice::dark, 2.0}));
  choose(QStringLiteral("Light"));
  EXPECT_EQ(window_.palette().color(QPalette::Window), lightTheme().paper);
  preferences::keepLook({});
}

TEST_F(Access, NothingIsCutOffAtTheLargestText) {
  wearLook({ThemeChoice::light, 2.0});
  QApplication::processEvents();
  for (QAbstractButton* b : window_.findChildren<QAbstractButton*>()) {
    if (!b->isVisible() || b->text().isEmpty() || qobject_cast<QTabBar*>(b->parentWidget()))
      continue;
    EXPECT_GE(b->height(), QFontMetrics(b->font()).height()) << pathOf(*b);
  }
  EXPECT_GE(window_.canvas()->width(), 400) << "the map keeps its room";
}

TEST_F(Access, TheTurnIsTypedAndFollowsTheMap) {
  auto* turn = window_.findChild<QDoubleSpinBox*>(QStringLiteral("turn"));
  ASSERT_TRUE(turn);
  turn->setValue(33.5);
  EXPECT_NEAR(window_.canvas()->transform().up_deg(), 33.5, 1e-9);
  QTest::keyClick(window_.canvas(), Qt::Key_End);
  EXPECT_EQ(turn->value(), 0);
}

TEST(Scale, IsShownRoundUnlessItWasTyped) {
  EXPECT_EQ(shownScale(11448.3), 11000);
  EXPECT_EQ(shownScale(987.6), 990);
  EXPECT_EQ(shownScale(12345), 12345);
  EXPECT_EQ(shownScale(7920 + 1e-9), 7920);
}

/// Translates every step to capitals.
class Loud : public QTranslator {
 public:
  bool isEmpty() const override { return false; }
  QString translate(const char* context, const char* source, const char*, int) const override {
    return QLatin1String(context) == QLatin1String("Step") ? QString::fromLatin1(source).toUpper()
                                                           : QString();
  }
};

TEST(Steps, GoThroughTranslationAndKeepNames) {
  const Loud loud;
  QApplication::installTranslator(const_cast<Loud*>(&loud));
  EXPECT_EQ(stepWords("Move Saddle stand"), QStringLiteral("MOVE Saddle stand"));
  EXPECT_EQ(stepWords("Join Creek run and Old way"), QStringLiteral("JOIN Creek run AND Old way"));
  EXPECT_EQ(stepWords("Take height of South pines from the tree tops"),
            QStringLiteral("TAKE HEIGHT OF South pines FROM THE TREE TOPS"));
  EXPECT_EQ(stepWords("Open a forecast"), QStringLiteral("OPEN A FORECAST"));
  QApplication::removeTranslator(const_cast<Loud*>(&loud));
  EXPECT_EQ(stepWords("Move Saddle stand"), QStringLiteral("Move Saddle stand"));
}

}  // namespace
}  // namespace leeward::ui
