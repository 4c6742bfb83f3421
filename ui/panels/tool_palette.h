// ToolPalette: select, and one entry for every kind of feature, with its icon, its word and its
// key.
#pragma once

#include "core/model/property.h"

#include <QAbstractButton>
#include <QWidget>

#include <optional>
#include <vector>

class QAction;
class QButtonGroup;

namespace leeward::ui {

class PaletteButton : public QAbstractButton {
  Q_OBJECT

 public:
  PaletteButton(std::optional<Kind> kind, const QString& words, const QString& key);
  void setKey(const QString& key);
  QSize sizeHint() const override;

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  std::optional<Kind> kind_;
  QString key_;
};

class ToolPalette : public QWidget {
  Q_OBJECT

 public:
  explicit ToolPalette(QWidget* parent = nullptr);
  /// Marks what is active; nullopt: select.
  void show(std::optional<Kind> kind);
  /// Drawing is refused while read-only.
  void setReadOnly(bool read_only);
  /// One for each button; it has the key.
  const std::vector<QAction*>& keyActions() const { return actions_; }

 signals:
  void selectPicked();
  void kindPicked(Kind kind);

 private:
  PaletteButton* add(std::optional<Kind> kind, const QString& words, QChar key);
  std::vector<QAction*> actions_;
  QButtonGroup* group_;
  PaletteButton* select_ = nullptr;
  std::vector<std::pair<Kind, PaletteButton*>> kinds_;
};

}  // namespace leeward::ui
