// The window with the demo as it should look, at 100 % and 200 %, in both themes, without words
// (blank_font.h), pictures of the ground and fields of the answer. To renew after a wanted change
// of looks:
//   LEEWARD_RENEW_GOLDEN=1 ctest --preset dev -R Golden
// then look at what changed in tests/ui/golden/*.png. QT_SCALE_FACTOR tells the scale.
#include "blank_font.h"
#include "ui/panels/hour_strip.h"
#include "ui/panels/look.h"
#include "ui/window/main_window.h"

#include <QApplication>
#include <QPainter>
#include <QSettings>
#include <QTabWidget>
#include <QTemporaryDir>
#include <QTest>

#include <gtest/gtest.h>

#include <cstdio>
#include <filesystem>
#include <limits>

namespace leeward::ui {
namespace {

constexpr int kBlock = 8;
constexpr double kBlockDiffers = 2.5;  // mean difference of a channel, of 255
constexpr int kMostBlocks = 3;         // that may look otherwise: less than one icon

/// Mean difference of the channels within the block at (x, y).
double blockDifference(const QImage& a, const QImage& b, int x0, int y0) {
  double sum = 0;
  int n = 0;
  for (int y = y0; y < std::min(y0 + kBlock, a.height()); ++y) {
    for (int x = x0; x < std::min(x0 + kBlock, a.width()); ++x, ++n) {
      const QRgb p = a.pixel(x, y), q = b.pixel(x, y);
      sum += std::abs(qRed(p) - qRed(q)) + std::abs(qGreen(p) - qGreen(q)) +
             std::abs(qBlue(p) - qBlue(q));
    }
  }
  return sum / (3.0 * n);
}

/// Blocks that look otherwise; all for pictures of different size.
int blocksThatDiffer(const QImage& a, const QImage& b) {
  if (a.size() != b.size()) return std::numeric_limits<int>::max();
  int differ = 0;
  for (int y = 0; y < a.height(); y += kBlock)
    for (int x = 0; x < a.width(); x += kBlock)
      differ += blockDifference(a, b, x, y) > kBlockDiffers;
  return differ;
}

/// Colours to five bits a channel, for small files.
QImage coarse(QImage image) {
  image.detach();
  const auto five = [](int v) { return (v >> 3) * 255 / 31; };
  for (int y = 0; y < image.height(); ++y)
    for (int x = 0; x < image.width(); ++x) {
      const QRgb p = image.pixel(x, y);
      image.setPixel(x, y, qRgb(five(qRed(p)), five(qGreen(p)), five(qBlue(p))));
    }
  return image;
}

class Golden : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    wearLook({ThemeChoice::light, 1.0});
    folder_ = new QTemporaryDir;
    window_ = new MainWindow({});
    // A copy: two scales run at once, and a property that another holds open is read-only.
    const std::filesystem::path demo(LEEWARD_DEMO);
    const std::filesystem::path copy(folder_->path().toStdString());
    std::filesystem::copy(demo.parent_path(), copy, std::filesystem::copy_options::recursive);
    auto session = EditSession::open(copy / demo.filename());
    ASSERT_TRUE(session) << session.error().message;
    window_->adopt(*std::move(session));
    window_->resize(1280, 800);
    window_->setArrive(*parse_iso8601("2026-11-14T12:30:00Z"));
    ASSERT_TRUE(window_->selectByName("Saddle stand").has_value());
    window_->show();
    settle();
  }
  static void TearDownTestSuite() {
    delete window_;
    delete folder_;
  }
  static void settle() {
    int quiet = 0;
    ASSERT_TRUE(QTest::qWaitFor(
        [&] {
          quiet = window_->settled() ? quiet + 1 : 0;
          return quiet > 4;
        },
        120000));
  }
  static QImage picture(ThemeChoice theme) {
    wearLook({theme, 1.0});
    ViewState view = window_->canvas()->view();
    // Looks alone: what a better answer would change is left out.
    view.relief.visible = view.scent.visible = false;
    view.ways = view.wind = view.doubt = false;
    window_->canvas()->setView(view);
    window_->canvas()->setTiles(nullptr);
    window_->setFocus();
    settle();
    return window_->grab().toImage().convertToFormat(QImage::Format_RGB32);
  }
  static void compare(const char* theme, const QImage& now) {
    const int percent = static_cast<int>(std::lround(now.devicePixelRatioF() * 100));
    const QString name = QStringLiteral("window_%1_%2.png").arg(QLatin1String(theme)).arg(percent);
    const QString kept = QStringLiteral(LEEWARD_GOLDEN_DIR "/") + name;
    if (qEnvironmentVariableIsSet("LEEWARD_RENEW_GOLDEN")) {
      ASSERT_TRUE(coarse(now).save(kept, nullptr, 0));
      GTEST_SKIP() << name.toStdString() << " is renewed";
    }
    QImage was(kept);
    ASSERT_FALSE(was.isNull()) << kept.toStdString();
    const int differ = blocksThatDiffer(was, coarse(now));
    if (differ > kMostBlocks) now.save(name);
    EXPECT_LE(differ, kMostBlocks) << name.toStdString() << ": it looks otherwise now; see it in "
                                   << QDir::currentPath().toStdString();
  }

  static QTemporaryDir* folder_;
  static MainWindow* window_;
};
QTemporaryDir* Golden::folder_ = nullptr;
MainWindow* Golden::window_ = nullptr;

TEST_F(Golden, LightLooksAsKept) { compare("light", picture(ThemeChoice::light)); }
TEST_F(Golden, DarkLooksAsKept) { compare("dark", picture(ThemeChoice::dark)); }

TEST_F(Golden, TheComparisonSeesOneIconOrOneShade) {
  const QImage whole = picture(ThemeChoice::light);
  QImage other = whole.copy();
  const double ratio = whole.devicePixelRatioF();
  other.setDevicePixelRatio(1);
  {
    QPainter painter(&other);  // a filled square where one of the palette's icons stands
    painter.scale(ratio, ratio);
    painter.fillRect(QRectF(17, 72, 20, 20), theme().ink);
  }
  EXPECT_GT(blocksThatDiffer(whole, other), kMostBlocks);
  other = whole.copy();
  for (int y = 0; y < other.height(); ++y)  // the window's paper another shade
    for (int x = 0; x < other.width(); ++x)
      if (other.pixel(x, y) == theme().paper.rgb())
        other.setPixel(x, y, theme().paper.darker(106).rgb());
  EXPECT_GT(blocksThatDiffer(whole, other), kMostBlocks);
  EXPECT_EQ(blocksThatDiffer(whole, whole), 0);
}

}  // namespace
}  // namespace leeward::ui

int main(int argc, char** argv) {
  qputenv("QT_QPA_PLATFORM", "offscreen");
  const QTemporaryDir folder;
  if (!leeward::ui::makeBlankFonts(folder.path())) {
    std::fprintf(stderr, "the typeface Open Sans is not where it is looked for\n");
    return 1;
  }
  qputenv("FONTCONFIG_FILE", (folder.path() + QStringLiteral("/fonts.conf")).toUtf8());
  ::testing::InitGoogleTest(&argc, argv);
  QSettings::setPath(QSettings::IniFormat, QSettings::UserScope, folder.path());
  QApplication app(argc, argv);
  leeward::ui::applyLook(app);
  return RUN_ALL_TESTS();
}
