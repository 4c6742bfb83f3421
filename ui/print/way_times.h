// When a walker is where: the arrival is the hour that the map holds for, the way out begins when
// the sit ends.
#pragma once

#include "ui/print/hunt_map.h"
#include "ui/print/page.h"
#include "ui/render/labels.h"

namespace leeward::ui {

/// When the gate is left so that the stand is reached at the scene's arrival.
Instant setsOut(const Scene& scene, const Way& in);
/// When the gate is reached.
Instant isBack(const Scene& scene, const Way& out);

/// "in 06:05" on each way in, when its gate is left; "out 18:40" on each way out, when its gate is
/// reached. Where there is room; the table of stands has them all.
void drawWayTimes(Page& page, const MapTransform& t, const HuntMapRequest& request,
                  LabelPlacer& labels);

}  // namespace leeward::ui
