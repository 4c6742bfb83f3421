#include "ui/panels/phone_dialog.h"

#include "ui/style/type.h"

#include <QCheckBox>
#include <QDialogButtonBox>
#include <QLabel>
#include <QListWidget>
#include <QPushButton>
#include <QVBoxLayout>

namespace leeward::ui {

PhoneDialog::PhoneDialog(const Document& document, QWidget* parent)
    : QDialog(parent),
      kinds_(new QListWidget),
      without_stands_(new QCheckBox(tr("Leave out where the stands are"))),
      ways_(new QCheckBox(tr("Ways in and out of this hour"))),
      aerial_(new QCheckBox(tr("Aerial picture (KMZ, MBTiles)"))) {
  setWindowTitle(tr("Save for a phone or another program"));
  for (const KindInfo& k : all_kinds()) {
    if (document.of(k.kind).empty()) continue;
    auto* row = new QListWidgetItem(text(k.plural), kinds_);
    row->setData(Qt::UserRole, static_cast<int>(k.kind));
    row->setFlags(row->flags() | Qt::ItemIsUserCheckable);
    row->setCheckState(Qt::Checked);
  }
  ways_->setChecked(true);
  aerial_->setChecked(true);
  without_stands_->setToolTip(tr("Their lanes, ways, rings and lines of fire stay at home too"));
  connect(without_stands_, &QCheckBox::toggled, ways_, &QWidget::setDisabled);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
  buttons->button(QDialogButtonBox::Ok)->setText(tr("Choose file…"));
  connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* column = new QVBoxLayout(this);
  kinds_->setAccessibleName(tr("What goes into the file"));
  column->addWidget(new QLabel(tr("What goes into the file")));
  column->addWidget(kinds_);
  for (QCheckBox* box : {without_stands_, ways_, aerial_}) column->addWidget(box);
  column->addWidget(buttons);
  resize(380, 460);
}

KindSet PhoneDialog::kinds() const {
  KindSet out;
  for (int i = 0; i < kinds_->count(); ++i)
    if (kinds_->item(i)->checkState() == Qt::Checked)
      out.set(static_cast<size_t>(kinds_->item(i)->data(Qt::UserRole).toInt()));
  return out;
}

bool PhoneDialog::stands() const { return !without_stands_->isChecked(); }
bool PhoneDialog::ways() const { return ways_->isChecked(); }
bool PhoneDialog::aerial() const { return aerial_->isChecked(); }

}  // namespace leeward::ui
