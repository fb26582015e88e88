#!/usr/bin/env bash
# Every source file is formatted: formatted.sh SOURCE_DIR
set -euo pipefail
cd "$1"
find engine tests tools -name '*.cpp' -o -name '*.h' | sort | xargs clang-format --dry-run -Werror
