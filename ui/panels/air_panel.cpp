#include "ui/panels/air_panel.h"

#include "core/eval/explain.h"
#include "ui/panels/look.h"
#include "ui/style/type.h"

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

AirPanel::AirPanel(QWidget* parent)
    : QWidget(parent),
      forecast_(new QPushButton(tr("Forecast"))),
      hand_(new QPushButton(tr("By hand"))),
      from_(new QSpinBox),
      speed_(new QDoubleSpinBox),
      cloud_(new QSpinBox),
      words_(new QLabel) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(14, 8, 14, 8);
  column->setSpacing(6);
  auto* top = new QHBoxLayout;
  top->addWidget(heading(tr("Wind")));
  top->addStretch(1);
  for (QPushButton* b : {forecast_, hand_}) b->setCheckable(true), top->addWidget(b);
  column->addLayout(top);

  auto* grid = new QGridLayout;
  grid->setHorizontalSpacing(8);
  grid->setVerticalSpacing(2);
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
  const auto label = [&](const QString& words, int place) {
    auto* l = new QLabel(words);
    l->setObjectName(QStringLiteral("soft"));
    grid->addWidget(l, 0, place);
    return l;
  };
  label(tr("From, true"), 0)->setBuddy(from_);
  label(tr("Speed"), 1)->setBuddy(speed_);
  label(tr("Cloud"), 2)->setBuddy(cloud_);
  grid->addWidget(from_, 1, 0);
  grid->addWidget(speed_, 1, 1);
  grid->addWidget(cloud_, 1, 2);
  column->addLayout(grid);
  words_->setWordWrap(true);
  words_->setObjectName(QStringLiteral("soft"));
  column->addWidget(words_);

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
}

void AirPanel::show(const Document& document, const AirNow& air, double convergence_deg,
                    bool read_only) {
  const QSignalBlocker block_from(from_), block_speed(speed_), block_cloud(cloud_);
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
  for (QWidget* w : std::initializer_list<QWidget*>{from_, speed_, cloud_, hand_, forecast_})
    w->setEnabled(!read_only);
  words_->setText(air.known ? text(explain_air(air, s.units))
                            : tr("No wind is known for this hour."));
}

}  // namespace leeward::ui
