#include "ui/session/preferences.h"

#include "ui/style/type.h"

#include <QCryptographicHash>
#include <QFileInfo>
#include <QSettings>

namespace leeward::ui::preferences {
namespace {

constexpr int kMostRecent = 10;

QSettings settings() {
  return QSettings(QSettings::IniFormat, QSettings::UserScope, QStringLiteral("leeward"),
                   QStringLiteral("leeward"));
}

QString pathOf(const std::filesystem::path& file) {
  return QFileInfo(QString::fromStdString(file.string())).absoluteFilePath();
}

/// Settings of a file stand under a digest: a path may hold what a group name may not.
QString groupOf(const std::filesystem::path& file) {
  const QByteArray digest =
      QCryptographicHash::hash(pathOf(file).toUtf8(), QCryptographicHash::Sha1);
  return QStringLiteral("views/") + QString::fromLatin1(digest.toHex().left(16));
}

}  // namespace

Look keptLook() {
  const QSettings s = settings();
  Look out;
  const QString theme = s.value(QStringLiteral("look/theme")).toString();
  if (theme == QLatin1String("light")) out.theme = ThemeChoice::light;
  if (theme == QLatin1String("dark")) out.theme = ThemeChoice::dark;
  bool good = false;
  const double scale = s.value(QStringLiteral("look/text_scale")).toDouble(&good);
  if (good && scale >= kLeastTextScale && scale <= kMostTextScale) out.text_scale = scale;
  return out;
}

void keepLook(const Look& look) {
  QSettings s = settings();
  s.remove(QStringLiteral("look"));
  if (look.theme != ThemeChoice::system)
    s.setValue(QStringLiteral("look/theme"),
               look.theme == ThemeChoice::dark ? QStringLiteral("dark") : QStringLiteral("light"));
  if (look.text_scale) s.setValue(QStringLiteral("look/text_scale"), *look.text_scale);
}

QStringList recentFiles() {
  QStringList out;
  const QSettings s = settings();
  for (const QString& file : s.value(QStringLiteral("recent")).toStringList())
    if (QFileInfo::exists(file)) out << file;
  return out;
}

void addRecentFile(const std::filesystem::path& file) {
  QSettings s = settings();
  QStringList files = s.value(QStringLiteral("recent")).toStringList();
  files.removeAll(pathOf(file));
  files.prepend(pathOf(file));
  s.setValue(QStringLiteral("recent"), files.mid(0, kMostRecent));
}

void clearRecentFiles() {
  QSettings s = settings();
  s.remove(QStringLiteral("recent"));
  s.remove(QStringLiteral("views"));
}

void keepView(const std::filesystem::path& file, const ViewState& view) {
  if (file.empty()) return;
  QSettings s = settings();
  s.beginGroup(groupOf(file));
  QStringList hidden, locked;
  for (const KindInfo& k : all_kinds()) {
    const auto i = static_cast<std::size_t>(k.kind);
    if (!view.kinds[i]) hidden << QString::fromLatin1(k.table);
    if (view.locked[i]) locked << QString::fromLatin1(k.table);
  }
  s.setValue(QStringLiteral("hidden"), hidden);
  s.setValue(QStringLiteral("locked"), locked);
  s.setValue(QStringLiteral("brightness"), view.brightness);
}

ViewState keptView(const std::filesystem::path& file, ViewState view) {
  QSettings s = settings();
  s.beginGroup(groupOf(file));
  const QStringList hidden = s.value(QStringLiteral("hidden")).toStringList();
  const QStringList locked = s.value(QStringLiteral("locked")).toStringList();
  for (const KindInfo& k : all_kinds()) {
    const auto i = static_cast<std::size_t>(k.kind);
    view.kinds[i] = !hidden.contains(QLatin1String(k.table));
    view.locked[i] = locked.contains(QLatin1String(k.table));
  }
  view.brightness = qBound(-60, s.value(QStringLiteral("brightness"), 0).toInt(), 60);
  return view;
}

void keepPlace(const std::filesystem::path& file, LocalXY at) {
  QSettings s = settings();
  s.beginGroup(groupOf(file));
  s.setValue(QStringLiteral("east"), at.x);
  s.setValue(QStringLiteral("north"), at.y);
}

std::optional<LocalXY> keptPlace(const std::filesystem::path& file) {
  QSettings s = settings();
  s.beginGroup(groupOf(file));
  if (!s.contains(QStringLiteral("east"))) return std::nullopt;
  return LocalXY{s.value(QStringLiteral("east")).toDouble(),
                 s.value(QStringLiteral("north")).toDouble()};
}

std::optional<QKeySequence> keyOf(const QString& action) {
  const QSettings s = settings();
  const QVariant key = s.value(QStringLiteral("keys/") + action);
  if (!key.isValid()) return std::nullopt;
  return QKeySequence(key.toString(), QKeySequence::PortableText);
}

void keepKey(const QString& action, const QKeySequence& key) {
  settings().setValue(QStringLiteral("keys/") + action, key.toString(QKeySequence::PortableText));
}

void forgetKeys() { settings().remove(QStringLiteral("keys")); }

}  // namespace leeward::ui::preferences
