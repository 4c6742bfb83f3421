// A chart as a picture: to the clipboard, or to a PNG file.
#pragma once

#include "core/base/result.h"

#include <QImage>
#include <QString>

#include <filesystem>
#include <functional>

class QTableWidget;
class QWidget;

namespace leeward::ui {

struct ChartPicture {
  QString name;  ///< "Map", for menus and file names.
  std::function<QImage()> draw;
};

void copyPicture(const ChartPicture& chart);
/// Asks for a file. False: nothing was chosen, or it failed and was said.
bool savePicture(QWidget* parent, const ChartPicture& chart);
/// Whole or not at all, with nothing in it but the picture. ERRORS: io.
Status writePicture(const QImage& picture, const std::filesystem::path& to);

/// Copying and saving from the widget's own menu (right button, or the menu key while it has the
/// focus) and by Ctrl+Shift+C and Ctrl+Shift+S inside it.
void offerPicture(QWidget* widget, const ChartPicture& chart);

/// All rows and columns of a table, also those that are scrolled away.
QImage wholeTable(QTableWidget& table);

}  // namespace leeward::ui
