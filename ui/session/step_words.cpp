#include "ui/session/step_words.h"

#include <QCoreApplication>
#include <QStringList>

#include <array>

namespace leeward::ui {
namespace {

// Where one begins another, the longer stands first.
constexpr std::array kPhrases = {QT_TRANSLATE_NOOP("Step", "Add a corner to %1"),
                                 QT_TRANSLATE_NOOP("Step", "Add a phase of the rut"),
                                 QT_TRANSLATE_NOOP("Step", "Add a weapon"),
                                 QT_TRANSLATE_NOOP("Step", "Add %1"),
                                 QT_TRANSLATE_NOOP("Step", "Change a phase of the rut"),
                                 QT_TRANSLATE_NOOP("Step", "Change a picture's strength"),
                                 QT_TRANSLATE_NOOP("Step", "Change a weapon"),
                                 QT_TRANSLATE_NOOP("Step", "Change remarks of %1"),
                                 QT_TRANSLATE_NOOP("Step", "Change settings"),
                                 QT_TRANSLATE_NOOP("Step", "Change the emergency plan"),
                                 QT_TRANSLATE_NOOP("Step", "Change the order of pictures"),
                                 QT_TRANSLATE_NOOP("Step", "Change the print's layout"),
                                 QT_TRANSLATE_NOOP("Step", "Change the scent limit"),
                                 QT_TRANSLATE_NOOP("Step", "Change the sit's length"),
                                 QT_TRANSLATE_NOOP("Step", "Change the wind"),
                                 QT_TRANSLATE_NOOP("Step", "Change %1"),
                                 QT_TRANSLATE_NOOP("Step", "Cut a hole in %1"),
                                 QT_TRANSLATE_NOOP("Step", "Delete %1 features"),
                                 QT_TRANSLATE_NOOP("Step", "Delete %1"),
                                 QT_TRANSLATE_NOOP("Step", "Draw %1"),
                                 QT_TRANSLATE_NOOP("Step", "Duplicate %1 features"),
                                 QT_TRANSLATE_NOOP("Step", "Duplicate %1"),
                                 QT_TRANSLATE_NOOP("Step", "Enter a visit"),
                                 QT_TRANSLATE_NOOP("Step", "Forget a forecast"),
                                 QT_TRANSLATE_NOOP("Step", "Hide a picture"),
                                 QT_TRANSLATE_NOOP("Step", "Import %1"),
                                 QT_TRANSLATE_NOOP("Step", "Join %1 and %2"),
                                 QT_TRANSLATE_NOOP("Step", "Make a strip along %1"),
                                 QT_TRANSLATE_NOOP("Step", "Merge %1"),
                                 QT_TRANSLATE_NOOP("Step", "Move a corner of %1"),
                                 QT_TRANSLATE_NOOP("Step", "Move a gap in %1"),
                                 QT_TRANSLATE_NOOP("Step", "Move %1"),
                                 QT_TRANSLATE_NOOP("Step", "Open a forecast"),
                                 QT_TRANSLATE_NOOP("Step", "Open"),
                                 QT_TRANSLATE_NOOP("Step", "Paste %1 features"),
                                 QT_TRANSLATE_NOOP("Step", "Paste %1"),
                                 QT_TRANSLATE_NOOP("Step", "Remove a corner of %1"),
                                 QT_TRANSLATE_NOOP("Step", "Remove a phase of the rut"),
                                 QT_TRANSLATE_NOOP("Step", "Remove a visit"),
                                 QT_TRANSLATE_NOOP("Step", "Remove a weapon"),
                                 QT_TRANSLATE_NOOP("Step", "Rename %1"),
                                 QT_TRANSLATE_NOOP("Step", "Rename"),
                                 QT_TRANSLATE_NOOP("Step", "Reshape %1"),
                                 QT_TRANSLATE_NOOP("Step", "Set a constant"),
                                 QT_TRANSLATE_NOOP("Step", "Set a deer's day"),
                                 QT_TRANSLATE_NOOP("Step", "Show a picture"),
                                 QT_TRANSLATE_NOOP("Step", "Split %1"),
                                 QT_TRANSLATE_NOOP("Step", "Stability by hand"),
                                 QT_TRANSLATE_NOOP("Step", "Stability by the key"),
                                 QT_TRANSLATE_NOOP("Step", "Switch units"),
                                 QT_TRANSLATE_NOOP("Step", "Take height of %1 from the tree tops"),
                                 QT_TRANSLATE_NOOP("Step", "Turn the wind"),
                                 QT_TRANSLATE_NOOP("Step", "Turn %1"),
                                 QT_TRANSLATE_NOOP("Step", "Wind by hand"),
                                 QT_TRANSLATE_NOOP("Step", "Wind from the forecast")};

struct Said {
  const char* phrase = nullptr;
  QStringList names;  ///< What stands for %1 and %2.
};

/// The names in `label` if it is made by `phrase`.
bool takesApart(const QString& label, const QString& phrase, QStringList& names) {
  const qsizetype first = phrase.indexOf(QLatin1String("%1"));
  if (first < 0) return label == phrase;
  QString rest = phrase.mid(first + 2);
  if (!label.startsWith(phrase.left(first))) return false;
  QString name = label.mid(first);
  if (rest.endsWith(QLatin1String("%2"))) {
    rest.chop(2);
    const qsizetype at = name.indexOf(rest);
    if (at < 0) return false;
    names = {name.left(at), name.mid(at + rest.size())};
    return true;
  }
  if (!name.endsWith(rest)) return false;
  name.chop(rest.size());
  names = {name};
  return !name.isEmpty();
}

Said said(const std::string& label) {
  const QString words = QString::fromStdString(label);
  for (const char* phrase : kPhrases) {
    Said out{phrase, {}};
    if (takesApart(words, QString::fromLatin1(phrase), out.names)) return out;
  }
  return {};
}

}  // namespace

QString stepWords(const std::string& label) {
  const Said found = said(label);
  if (!found.phrase) return QString::fromStdString(label);
  QString out = QCoreApplication::translate("Step", found.phrase);
  if (found.names.size() == 1) return out.arg(found.names[0]);
  if (found.names.size() == 2) return out.arg(found.names[0], found.names[1]);
  return out;
}

bool isKnownStep(const std::string& label) { return said(label).phrase != nullptr; }

}  // namespace leeward::ui
