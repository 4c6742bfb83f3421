#include "ui/panels/air_panel.h"

#include "core/eval/explain.h"
#include "ui/panels/look.h"
#include "ui/session/wind_edits.h"
#include "ui/style/type.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QGridLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QSignalBlocker>
#include <QSpinBox>
#include <QVBoxLayout>

#include <cmath>

namespace leeward::ui {

namespace {

QLabel* fieldLabel(const QString& words, QWidget* buddy = nullptr) {
  auto* label = new QLabel(words);
  label->setObjectName(QStringLiteral("soft"));
  label->setBuddy(buddy);
  return label;
}

QLabel* wrapped(const char* look) {
  auto* label = new QLabel;
  label->setWordWrap(true);
  label->setObjectName(QLatin1String(look));
  label->hide();
  return label;
}

}  // namespace

AirPanel::AirPanel(QWidget* parent)
    : QWidget(parent),
      forecast_(new QPushButton(tr("Forecast"))),
      hand_(new QPushButton(tr("By hand"))),
      from_(new QSpinBox),
      speed_(new QDoubleSpinBox),
      cloud_(new QSpinBox),
      stability_(new QComboBox),
      limit_(new QDoubleSpinBox),
      words_(fieldLabel({})),
      pending_(wrapped("soft")),
      doubts_(wrapped("caution")) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(space(4), space(2), space(4), space(2));
  column->setSpacing(space(2));
  auto* top = new QHBoxLayout;
  top->addWidget(heading(tr("Wind")));
  top->addStretch(1);
  for (QPushButton* b : {forecast_, hand_}) b->setCheckable(true), top->addWidget(b);
  column->addLayout(top);
  auto* grid = new QGridLayout;
  grid->setHorizontalSpacing(space(2));
  grid->setVerticalSpacing(kSpacePx / 2);
  buildWind(*grid);
  buildJudgement(*grid);
  column->addLayout(grid);
  words_->setWordWrap(true);
  pending_->setText(tr("The land's effect on the wind is being worked out."));
  for (QLabel* label : {words_, pending_, doubts_}) column->addWidget(label);
  wire();
}

void AirPanel::buildWind(QGridLayout& grid) {
  from_->setRange(0, 359);
  from_->setWrapping(true);
  from_->setSingleStep(5);
  from_->setSuffix(QStringLiteral("°"));
  from_->setToolTip(tr("Where the wind comes from, degrees clockwise from true north"));
  speed_->setRange(0, 100);
  speed_->setToolTip(tr("Wind speed at 10 m in the open"));
  cloud_->setRange(0, 100);
  cloud_->setSingleStep(10);
  cloud_->setSuffix(QStringLiteral(" %"));
  cloud_->setToolTip(tr("Share of the sky under cloud"));
  grid.addWidget(fieldLabel(tr("From, true"), from_), 0, 0);
  grid.addWidget(fieldLabel(tr("Speed"), speed_), 0, 1);
  grid.addWidget(fieldLabel(tr("Cloud"), cloud_), 0, 2);
  grid.addWidget(from_, 1, 0);
  grid.addWidget(speed_, 1, 1);
  grid.addWidget(cloud_, 1, 2);
}

void AirPanel::buildJudgement(QGridLayout& grid) {
  stability_->addItem(tr("by the key"));
  for (const QString& words :
       {tr("A, very unstable"), tr("B, unstable"), tr("C, slightly unstable"), tr("D, neutral"),
        tr("E, slightly stable"), tr("F, stable")})
    stability_->addItem(words);
  stability_->setToolTip(
      tr("How strongly the air mixes up and down. By the key: from wind, cloud and the sun's "
         "height. By hand it holds for every hour."));
  limit_->setRange(kLeastScentLimit, kMostScentLimit);
  limit_->setDecimals(3);
  limit_->setStepType(QAbstractSpinBox::AdaptiveDecimalStepType);
  limit_->setToolTip(
      tr("The most scent you will have on a deer area: relative exposure (1 = 25 m straight "
         "downwind of a person on the ground) times the chance that deer are there"));
  grid.addWidget(fieldLabel(tr("Stability"), stability_), 2, 0, 1, 2);
  grid.addWidget(fieldLabel(tr("Scent limit"), limit_), 2, 2);
  grid.addWidget(stability_, 3, 0, 1, 2);
  grid.addWidget(limit_, 3, 2);
}

void AirPanel::wire() {
  connect(forecast_, &QPushButton::clicked, this, [this] {
    if (has_forecast_) {
      emit byHandPicked(false);
    } else {
      forecast_->setChecked(false);
      emit forecastWanted();
    }
  });
  connect(hand_, &QPushButton::clicked, this, [this] { emit byHandPicked(true); });
  connect(from_, &QSpinBox::valueChanged, this, [this](int true_deg) {
    emit handWindEntered(wrap_360(true_deg - convergence_deg_), {}, {});
  });
  connect(speed_, &QDoubleSpinBox::valueChanged, this,
          [this](double value) { emit handWindEntered({}, value * mps_per_unit_, {}); });
  connect(cloud_, &QSpinBox::valueChanged, this,
          [this](int percent) { emit handWindEntered({}, {}, percent / 100.0); });
  connect(stability_, &QComboBox::activated, this, [this](int place) {
    emit stabilityPicked(place == 0 ? std::nullopt : std::optional<int>(place - 1));
  });
  connect(limit_, &QDoubleSpinBox::valueChanged, this, &AirPanel::scentLimitEntered);
}

void AirPanel::setWindPending(bool pending) { pending_->setVisible(pending); }

void AirPanel::show(const Document& document, const AirNow& air, double convergence_deg,
                    bool read_only) {
  const QSignalBlocker block_from(from_), block_speed(speed_), block_cloud(cloud_),
      block_limit(limit_);
  const Settings& s = *document.settings;
  const bool us = s.units == UnitSystem::us;
  convergence_deg_ = convergence_deg;
  mps_per_unit_ = us ? kMpsPerMph : 1;
  has_forecast_ = !document.wind_hours->empty();
  forecast_->setText(has_forecast_ ? tr("Forecast") : tr("Open forecast…"));
  forecast_->setChecked(has_forecast_ && !s.use_hand_wind);
  hand_->setChecked(s.use_hand_wind);
  speed_->setSuffix(us ? tr(" mph") : tr(" m/s"));
  speed_->setDecimals(us ? 0 : 1);
  speed_->setSingleStep(us ? 1 : 0.5);
  from_->setValue(static_cast<int>(std::lround(air.from_true_deg)) % 360);
  speed_->setValue(air.speed_10m_mps / mps_per_unit_);
  cloud_->setValue(static_cast<int>(std::lround(air.cloud * 100)));
  stability_->setItemText(
      0, s.stability || !air.known
             ? tr("by the key")
             : tr("by the key: %1").arg(QChar('A' + static_cast<int>(air.stability))));
  stability_->setCurrentIndex(s.stability ? *s.stability + 1 : 0);
  limit_->setValue(s.scent_limit);
  for (QWidget* w :
       std::initializer_list<QWidget*>{from_, speed_, cloud_, hand_, forecast_, stability_, limit_})
    w->setEnabled(!read_only);
  words_->setText(air.known ? text(explain_air(air, s.units))
                            : tr("No wind is known for this hour."));
  QStringList doubts;
  for (const std::string& d : air.doubts) doubts << QStringLiteral("▲ ") + text(d);
  doubts_->setText(doubts.join(QLatin1Char('\n')));
  doubts_->setVisible(!doubts.isEmpty());
}

}  // namespace leeward::ui
