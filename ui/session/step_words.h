// Names of steps in the user's language. The model names its steps in English; what changes from
// step to step in them, names of features above all, stays as it is.
#pragma once

#include <QString>

#include <string>

namespace leeward::ui {

/// "Move Saddle stand" through Qt's translation, context "Step".
QString stepWords(const std::string& label);
/// True if the label has a phrase that translators are given.
bool isKnownStep(const std::string& label);

}  // namespace leeward::ui
