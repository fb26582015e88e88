#!/usr/bin/env bash
# The other compiler compiles every source of the engine and the command without warnings: second_compiler.sh SOURCE_DIR
set -euo pipefail
cd "$1"
find engine tools/cabinfield -name '*.cpp' -print0 | sort -z |
  xargs -0 -n 4 -P "$(nproc)" clang++ -std=c++20 -fsyntax-only -fopenmp -DCABINFIELD_VERSION='"0"' -DCABINFIELD_BUILD='"0"' \
    -DCABINFIELD_REPORT_PAGE='"report.html"' -DCABINFIELD_KERNELS=plain_table -DCABINFIELD_GMSH_LIBRARY='"libgmsh.so"' -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wno-sign-conversion -Werror \
    -I engine -isystem /usr/include/eigen3 -isystem /usr/include/hdf5/serial \
    -isystem /usr/include/suitesparse -isystem "/usr/include/$(gcc -print-multiarch)/openblas-pthread" \
    -isystem "/usr/include/$(gcc -print-multiarch)"
