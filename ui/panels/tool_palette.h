// ToolPalette: select, and one entry for every kind of feature, with its map symbol, its word and
// its key.
#pragma once

#include "core/model/property.h"

#include <QAbstractButton>
#include <QWidget>

#include <optional>
#include <vector>

class QButtonGroup;

namespace leeward::ui {

class PaletteButton : public QAbstractButton {
  Q_OBJECT

 public:
  PaletteButton(std::optional<Kind> kind, const QString& words, QChar key);
  QSize sizeHint() const override { return {158, 27}; }

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  std::optional<Kind> kind_;
  QChar key_;
};

class ToolPalette : public QWidget {
  Q_OBJECT

 public:
  explicit ToolPalette(QWidget* parent = nullptr);
  /// Marks what is active; nullopt: select.
  void show(std::optional<Kind> kind);
  /// Drawing is refused while read-only.
  void setReadOnly(bool read_only);

 signals:
  void selectPicked();
  void kindPicked(Kind kind);

 private:
  PaletteButton* add(std::optional<Kind> kind, const QString& words, QChar key);
  QButtonGroup* group_;
  PaletteButton* select_ = nullptr;
  std::vector<std::pair<Kind, PaletteButton*>> kinds_;
};

}  // namespace leeward::ui
