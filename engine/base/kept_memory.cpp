#include "base/kept_memory.h"

#include <malloc.h>

#include <limits>

namespace cabinfield {

void keep_freed_memory() {
  mallopt(M_MMAP_MAX, 0);
  mallopt(M_TRIM_THRESHOLD, std::numeric_limits<int>::max());
  mallopt(M_TOP_PAD, 64 << 20);
}

}  // namespace cabinfield
