// The window's own look: palette, style sheet, and small pictures for buttons.
#pragma once

#include "core/model/property.h"

#include <QIcon>
#include <QString>

class QApplication;
class QFormLayout;
class QLabel;

namespace leeward::ui {

/// Sets style, font (10.5 pt) and colours of the whole program.
void applyLook(QApplication& app);

/// The kind's map symbol as an icon of `side` logical pixels.
QPixmap kindPixmap(const Attributes& attrs, QSize size, double ratio);

/// "Deer trail" from "deer trail".
QString capital(const QString& words);

/// A section heading for panels.
QLabel* heading(const QString& words);

/// Rows of labels and fields, spaced as in every dialog.
QFormLayout* formLayout();
/// A row whose label is also the field's accessible name.
void addNamedRow(QFormLayout* form, const QString& name, QWidget* field);
/// A caution that is hidden while there is nothing to say.
QLabel* problemLabel();
void showProblem(QLabel* label, const std::string& why);
/// A wrapped line of advice.
QLabel* softLabel(const QString& words);

}  // namespace leeward::ui
