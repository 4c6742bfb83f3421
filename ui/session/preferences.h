// What this user of this computer has set: keys, files opened last, how each property was looked
// at. Nothing of it lies in a property file.
#pragma once

#include "ui/canvas/view_state.h"
#include "ui/style/palette.h"

#include <QKeySequence>
#include <QString>
#include <QStringList>

#include <filesystem>
#include <optional>

namespace leeward::ui::preferences {

/// How every window looks.
struct Look {
  ThemeChoice theme = ThemeChoice::system;
  std::optional<double> text_scale;  ///< Nothing: as the screen's settings ask.
  friend bool operator==(const Look&, const Look&) = default;
};
Look keptLook();
void keepLook(const Look& look);

/// Newest first; files that are gone are left out.
QStringList recentFiles();
void addRecentFile(const std::filesystem::path& file);
/// Forgets the files and how they were looked at.
void clearRecentFiles();

/// Which kinds are shown and locked, and the pictures' brightness, kept for each file.
void keepView(const std::filesystem::path& file, const ViewState& view);
ViewState keptView(const std::filesystem::path& file, ViewState otherwise);

/// Where an empty property lies, until something is drawn on it.
void keepPlace(const std::filesystem::path& file, LocalXY at);
std::optional<LocalXY> keptPlace(const std::filesystem::path& file);

/// A key that the user gave to an action; nothing: its own. An empty key is a choice too.
std::optional<QKeySequence> keyOf(const QString& action);
void keepKey(const QString& action, const QKeySequence& key);
void forgetKeys();

}  // namespace leeward::ui::preferences
