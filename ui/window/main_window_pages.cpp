// What the window is made of: the page that it starts with, tools, map and words, the status bar.
#include "ui/panels/air_panel.h"
#include "ui/panels/explain_panel.h"
#include "ui/panels/feature_form.h"
#include "ui/panels/feature_list.h"
#include "ui/panels/history_panel.h"
#include "ui/panels/hour_strip.h"
#include "ui/panels/icons.h"
#include "ui/panels/layer_panel.h"
#include "ui/panels/tool_palette.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QLabel>
#include <QPainter>
#include <QProgressBar>
#include <QPushButton>
#include <QScrollArea>
#include <QSplitter>
#include <QStackedWidget>
#include <QStatusBar>
#include <QTabWidget>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

QWidget* rule() {
  auto* line = new QFrame;
  line->setObjectName(QStringLiteral("rule"));
  line->setFixedHeight(1);
  return line;
}

/// One line that ends in dots where it has no room, and whole in its tip.
class HintLabel : public QLabel {
 protected:
  void paintEvent(QPaintEvent*) override {
    QPainter painter(this);
    const QRect room = contentsRect().adjusted(space(2), 0, -space(2), 0);
    painter.setPen(theme().soft);
    painter.drawText(room, Qt::AlignVCenter | Qt::AlignLeft,
                     fontMetrics().elidedText(text(), Qt::ElideRight, room.width()));
    setToolTip(fontMetrics().horizontalAdvance(text()) > room.width() ? text() : QString());
  }
};

/// Degrees without the noughts that say nothing.
class DegreesBox : public QDoubleSpinBox {
 public:
  QString textFromValue(double value) const override { return locale().toString(value, 'g', 4); }
};

}  // namespace

void MainWindow::buildPages() {
  canvas_ = new MapCanvas;
  strip_ = new HourStrip;
  auto* middle = new QWidget;
  auto* column = new QVBoxLayout(middle);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(0);
  column->addWidget(canvas_, 1);
  column->addWidget(strip_);

  split_ = new QSplitter(Qt::Horizontal);
  split_->setHandleWidth(1);
  split_->addWidget(buildLeft());
  split_->addWidget(middle);
  split_->addWidget(buildRight());
  split_->setStretchFactor(1, 1);
  split_->setCollapsible(1, false);

  pages_ = new QStackedWidget;
  pages_->addWidget(buildStartPage());
  pages_->addWidget(split_);
  setCentralWidget(pages_);
}

QWidget* MainWindow::buildStartPage() {
  auto* page = new QWidget;
  auto* outer = new QVBoxLayout(page);
  outer->addStretch(2);
  auto* column = new QVBoxLayout;
  column->setSpacing(space(3));
  auto* title = new QLabel(QStringLiteral("Leeward"));
  title->setObjectName(QStringLiteral("title"));
  auto* what = new QLabel(
      tr("Lay out a hunting property, and see for each stand and hour what is in range, where your "
         "scent goes, and which way in and out goes unnoticed."));
  what->setWordWrap(true);
  what->setObjectName(QStringLiteral("soft"));
  column->addWidget(title);
  column->addWidget(what);
  column->addSpacing(space(2));
  const auto entry = [&](const QString& picture, const QString& words, auto slot) {
    auto* button = new QPushButton(icon(picture), words);
    button->setObjectName(QStringLiteral("entry"));
    button->setIconSize(QSize(24, 24));
    connect(button, &QPushButton::clicked, this, slot);
    column->addWidget(button);
    return button;
  };
  if (!demo_.empty())
    entry(QStringLiteral("ways"), tr("Open the demo property"),
          [this] { static_cast<void>(openFile(demo_)); });
  entry(QStringLiteral("new"), tr("New property from aerial pictures and elevation…"),
        [this] { newProperty(); });
  entry(QStringLiteral("new_empty"), tr("New property from nothing: draw on empty ground…"),
        [this] { newFromNothing(); });
  entry(QStringLiteral("open"), tr("Open a property…"), [this] { openProperty(); });
  auto* holder = new QWidget;
  holder->setLayout(column);
  holder->setMinimumWidth(520);
  holder->setMaximumWidth(720);
  outer->addWidget(holder, 0, Qt::AlignHCenter);
  outer->addStretch(3);
  return page;
}

QWidget* MainWindow::buildLeft() {
  auto* left = new QWidget;
  auto* column = new QVBoxLayout(left);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(0);
  palette_ = new ToolPalette;
  auto* scroll = new QScrollArea;
  scroll->setObjectName(QStringLiteral("plain"));
  scroll->setWidget(palette_);
  scroll->setWidgetResizable(true);
  scroll->setFocusPolicy(Qt::NoFocus);  // its tools are stops themselves
  scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
  scroll->setFrameShape(QFrame::NoFrame);
  column->addWidget(scroll, 1);
  left_ = left;
  return left;
}

QWidget* MainWindow::buildRight() {
  auto* right = new QWidget;
  auto* column = new QVBoxLayout(right);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(0);
  air_ = new AirPanel;
  explain_ = new ExplainPanel;
  form_ = new FeatureForm;
  layers_ = new LayerPanel;
  tabs_ = new QTabWidget;
  tabs_->setDocumentMode(true);
  tabs_->addTab(explain_, tr("Meaning"));
  tabs_->addTab(form_, tr("Details"));
  tabs_->addTab(layers_, tr("Layers"));
  features_ = new FeatureList;
  history_ = new HistoryPanel;
  tabs_->addTab(features_, tr("List"));
  tabs_->addTab(history_, tr("Steps"));
  column->addWidget(air_);
  column->addWidget(rule());
  column->addWidget(tabs_, 1);
  right_ = right;
  return right;
}

void MainWindow::buildStatus() {
  hint_ = new HintLabel;
  hint_->setObjectName(QStringLiteral("soft"));
  where_ = new QLabel;
  saved_ = new QLabel;
  working_ = new QLabel;
  working_->setObjectName(QStringLiteral("soft"));
  progress_ = new QProgressBar;
  progress_->setTextVisible(false);
  cancel_ = new QPushButton(tr("Cancel"));
  connect(cancel_, &QPushButton::clicked, &background_, &Background::cancel);
  connect(cancel_, &QPushButton::clicked, &overviews_, &Background::cancel);
  scale_ = new QComboBox;
  scale_->setEditable(true);
  scale_->setInsertPolicy(QComboBox::NoInsert);
  scale_->setAccessibleName(tr("Scale of the map"));
  for (const int n : {1000, 2000, 5000, 10000, 12000, 24000, 50000})
    scale_->addItem(tr("1:%1").arg(n), n);
  turn_ = new DegreesBox;
  turn_->setObjectName(QStringLiteral("turn"));
  turn_->setRange(0, 359.9);
  turn_->setDecimals(1);
  turn_->setSingleStep(5);
  turn_->setWrapping(true);
  turn_->setKeyboardTracking(false);
  turn_->setSuffix(QStringLiteral("°"));
  turn_->setAccessibleName(tr("Turn of the map"));
  turn_->setToolTip(
      tr("What lies at the top of the map, degrees clockwise from grid north; End on "
         "the map puts north up"));
  statusBar()->setSizeGripEnabled(false);
  statusBar()->addWidget(hint_, 1);
  for (QWidget* w :
       std::initializer_list<QWidget*>{working_, progress_, cancel_, where_, scale_, turn_, saved_})
    statusBar()->addPermanentWidget(w);
  hint_->setMinimumWidth(1);
  hint_->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Preferred);
  showBusy();
}

}  // namespace leeward::ui
