// What of a property goes into a file for a phone or receiver.
#pragma once

#include "ui/render/features.h"

#include <QDialog>

class QCheckBox;
class QListWidget;

namespace leeward::ui {

class PhoneDialog : public QDialog {
  Q_OBJECT

 public:
  PhoneDialog(const Document& document, QWidget* parent);

  KindSet kinds() const;
  bool stands() const;
  bool ways() const;
  bool aerial() const;

 private:
  QListWidget* kinds_;
  QCheckBox* without_stands_;
  QCheckBox* ways_;
  QCheckBox* aerial_;
};

}  // namespace leeward::ui
