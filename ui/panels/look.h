// The window's own look: palette, style sheet, and small pictures for buttons.
#pragma once

#include "core/model/property.h"
#include "ui/session/preferences.h"
#include "ui/style/palette.h"

#include <QIcon>
#include <QString>

class QApplication;
class QFormLayout;
class QLabel;

namespace leeward::ui {

/// Sets the style and the look that the user chose last.
void applyLook(QApplication& app);
/// Changes colours and size of type of every window at once. Widgets that draw themselves see a
/// QEvent::StyleChange.
void wearLook(const preferences::Look& look);
const preferences::Look& wornLook();
/// What the screen's settings ask for, within what is offered.
double systemTextScale();

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
