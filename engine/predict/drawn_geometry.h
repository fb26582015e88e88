// The cabin as triangles, for pictures.
#pragma once

#include "geometry/cabin.h"
#include "predict/results.h"

namespace cabinfield {

/// Every face of the cabin as drawn, blocks whole, each triangle counter-clockwise as seen from the air.
DrawnGeometry drawn_geometry(const Cabin& cabin);

}  // namespace cabinfield
