#include "field/images/path_kernels.h"

namespace cabinfield::kernels {

extern const Table plain_table;
#if defined(CABINFIELD_WIDE_KERNELS)
extern const Table wide_table;  // AVX2 and fused multiply-add (x86-64-v3)
#endif

const Table& best() {
#if defined(CABINFIELD_WIDE_KERNELS)
  static const Table* const table = [] {
    __builtin_cpu_init();
    const bool wide = __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
    return wide ? &wide_table : &plain_table;
  }();
  return *table;
#else
  return plain_table;
#endif
}

}  // namespace cabinfield::kernels
